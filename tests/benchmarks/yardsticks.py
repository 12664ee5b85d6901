"""Bare FastAPI routes to measure the program against: one that answers, one that keeps a row for good."""

from __future__ import annotations

import json
import threading
import time
from pathlib import Path
from typing import Any

import uvicorn
from fastapi import FastAPI, Request, Response
from starlette.concurrency import run_in_threadpool

from api.http.server import ShapedProtocol
from api.storage import sqlite


def bare(port: int, size: int, folder: str) -> None:
    """Serve both routes with nothing around them: GET /bare of so many bytes, POST /durable."""
    app = FastAPI()
    text = json.dumps({"filler": "x" * size})
    own = threading.local()

    @app.get("/bare")
    async def answer() -> Response:
        return Response(text, media_type="application/json")

    def keep(body: bytes) -> None:
        if not hasattr(own, "base"):
            own.base = durable(Path(folder))
        insert(own.base, body)

    @app.post("/durable")
    async def write(request: Request) -> Response:
        await run_in_threadpool(keep, await request.body())
        return Response('{"kept": true}', 201, media_type="application/json")

    durable(Path(folder)).close()
    uvicorn.run(app, host="127.0.0.1", port=port, http=ShapedProtocol, access_log=False, log_level="error")


def durable(folder: Path) -> Any:
    """A database that has every commit on the disk before it says so, with one table."""
    base = sqlite.library.connect(folder / "yardstick.sqlite", isolation_level=None, timeout=15)
    for pragma in ("journal_mode=WAL", "synchronous=FULL"):
        base.execute(f"PRAGMA {pragma}")
    base.execute("CREATE TABLE IF NOT EXISTS kept (id INTEGER PRIMARY KEY, body BLOB NOT NULL)")
    return base


def insert(base: Any, body: bytes) -> None:
    """One row in one durable transaction."""
    base.execute("BEGIN IMMEDIATE")
    base.execute("INSERT INTO kept (body) VALUES (?)", (body,))
    base.execute("COMMIT")


def commit_ms(folder: Path, times: int = 200) -> float:
    """The middle time of one durable commit without a server, ms."""
    base = durable(folder)
    spent = []
    for _ in range(times):
        began = time.perf_counter()
        insert(base, b"x" * 100)
        spent.append(time.perf_counter() - began)
    base.close()
    return sorted(spent)[times // 2] * 1e3
