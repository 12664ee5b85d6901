"""Writes: once for each Idempotency-Key, whole or not at all, and refused where somebody was quicker."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Final, TypeVar

from fastapi import Request
from pydantic import BaseModel
from sqlalchemy import Connection, bindparam, insert, select
from starlette.concurrency import run_in_threadpool
from starlette.responses import Response

from api.http.context import Caller
from api.http.problems import Problem
from api.storage.clock import now
from api.storage.schema import answered

Prepared = TypeVar("Prepared")
_EARLIER: Final = select(answered).where(
    answered.c.token_id == bindparam("token"), answered.c.key == bindparam("used")
)


@dataclass(frozen=True)
class Answer:
    """What a write is answered with."""

    status: int
    body: str
    headers: Mapping[str, str]
    replayed: bool = False

    @classmethod
    def of(
        cls, status: int, document: BaseModel | Mapping[str, object], headers: Mapping[str, str]
    ) -> Answer:
        """The answer that gives a document."""
        if isinstance(document, BaseModel):
            return cls(status, document.model_dump_json(), headers)
        return cls(status, json.dumps(document, ensure_ascii=False, allow_nan=False), headers)

    def response(self) -> Response:
        """The answer; a repeated one says so."""
        headers = dict(self.headers)
        if self.replayed:
            headers["idempotency-replayed"] = "true"
        return Response(self.body, self.status, headers, "application/json")


async def perform(
    request: Request,
    caller: Caller,
    key: str,
    said: str,
    prepare: Callable[[], Prepared],
    write: Callable[[Connection, Prepared], Answer],
) -> Response:
    """Answer a write: from memory if the key was used, else by `prepare` (no lock held) and `write`.

    `said` is what was sent, beside method and address: the same key with something else is refused. `write`
    runs in one transaction with the record of its answer, and must check again what `prepare` saw.
    """
    sent = f"{request.method} {request.url.path}\0{request.headers.get('if-match', '')}\0{said}"
    fingerprint = hashlib.sha256(sent.encode("utf-8", "surrogatepass")).hexdigest()
    answer = await run_in_threadpool(_perform, caller, key, fingerprint, prepare, write)
    caller.server.worker.wake()
    return answer.response()


def _perform(
    caller: Caller,
    key: str,
    fingerprint: str,
    prepare: Callable[[], Prepared],
    write: Callable[[Connection, Prepared], Answer],
) -> Answer:
    store = caller.server.store

    def earlier() -> Answer | None:
        with store.read() as connection:
            return _earlier(connection, caller.token.id, key, fingerprint)

    def once(connection: Connection) -> Answer:
        known = _earlier(connection, caller.token.id, key, fingerprint)
        if known is not None:
            return known
        answer = write(connection, prepared)
        connection.execute(insert(answered), {
            "token_id": caller.token.id, "key": key, "fingerprint": fingerprint, "status": answer.status,
            "headers": json.dumps(dict(answer.headers)), "body": answer.body, "at": now(),
        })  # fmt: skip
        return answer

    known = earlier()
    if known is not None:
        return known
    try:
        prepared = prepare()
        return store.write(once)
    except Problem as problem:
        # The first use of the key may have ended since the look above, and have changed the version.
        known = earlier() if problem.code in {"changed-meanwhile", "conflict"} else None
        if known is None:
            raise
        return known


def _earlier(connection: Connection, token_id: str, key: str, fingerprint: str) -> Answer | None:
    row = connection.execute(_EARLIER, {"token": token_id, "used": key}).first()
    if row is None:
        return None
    if row.fingerprint != fingerprint:
        raise Problem("key-used-otherwise", "Send a new key with a new request.")
    return Answer(row.status, row.body, json.loads(row.headers), replayed=True)
