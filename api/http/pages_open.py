"""What answers without a token: the public sites, the dock page's shell, and the readable description.

None of it holds anything of a fleet but the public site itself; the dock page asks for data with a token.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path
from typing import Final

from fastapi import FastAPI
from starlette.datastructures import MutableHeaders
from starlette.exceptions import HTTPException
from starlette.responses import JSONResponse, RedirectResponse, Response
from starlette.routing import Mount, Route
from starlette.staticfiles import StaticFiles
from starlette.types import Message, Receive, Scope, Send

from api.http.context import FLEET_FORM
from api.settings import Settings
from sitegen.shell import CONTENT_SECURITY_POLICY

HERE: Final = Path(__file__).resolve().parent
DOCK: Final = HERE.parent / "dock"
READER: Final = HERE / "reader"
DOCK_POLICY: Final = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; "
    "manifest-src 'self'; worker-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)
READER_POLICY: Final = (
    "default-src 'none'; script-src 'self'; style-src 'self' 'unsafe-inline'; img-src 'self' data:; "
    "connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)
SITE_POLICY: Final = f"{CONTENT_SECURITY_POLICY}; frame-ancestors 'none'"


class Folder:
    """Files of one folder, with the headers they need."""

    def __init__(self, folder: Path, headers: Mapping[str, str], *, check: bool = True) -> None:
        self._files = StaticFiles(directory=folder, html=True, check_dir=check, follow_symlink=True)
        self._headers = headers

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer with a file of the folder."""

        async def answer(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in self._headers.items():
                    headers[name] = value
            await send(message)

        await self._files(scope, receive, answer)


class Sites:
    """The public sites, each below the id of its fleet."""

    def __init__(self, settings: Settings) -> None:
        self._settings = settings

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer with a page of a fleet's site, 404 where none was published."""
        path = scope["path"].removeprefix(scope.get("root_path", "")).lstrip("/")
        fleet_id, slash, _ = path.partition("/")
        site = self._settings.site_of(fleet_id)
        if not re.fullmatch(FLEET_FORM, fleet_id) or not site.is_dir():
            raise HTTPException(404)
        if not slash:
            await RedirectResponse(f"/site/{fleet_id}/", 307)(scope, receive, send)
            return
        inner = dict(scope, root_path=f"{scope.get('root_path', '')}/{fleet_id}")
        files = Folder(
            site, {"content-security-policy": SITE_POLICY, "cache-control": "no-cache"}, check=False
        )
        await files(inner, receive, send)


def add_open_pages(app: FastAPI, settings: Settings) -> None:
    """Add what answers without a token."""

    async def description(_request: object) -> Response:
        return JSONResponse(app.openapi())

    async def to_dock(_request: object) -> Response:
        return RedirectResponse("/dock/", 307)

    dock = Folder(DOCK / "page", {"content-security-policy": DOCK_POLICY, "cache-control": "no-cache"})
    reader = Folder(READER, {"content-security-policy": READER_POLICY, "cache-control": "no-cache"})
    app.router.routes += [
        Route("/openapi.json", description, methods=["GET"], include_in_schema=False),
        Route("/", to_dock, methods=["GET"], include_in_schema=False),
        Mount("/dock", dock, name="dock"),
        Mount("/docs", reader, name="docs"),
        Mount("/site", Sites(settings), name="site"),
    ]
