"""Writes: once for each Idempotency-Key, whole or not at all, and refused where somebody was quicker."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import dataclass
from typing import Final, TypeVar, cast

from fastapi import Request
from pydantic import BaseModel
from sqlalchemy import Connection, bindparam, insert, select
from starlette.concurrency import run_in_threadpool
from starlette.responses import Response

from api.http.context import Caller, Server
from api.http.problems import Problem
from api.season.acting import Acting, Result, Transact
from api.season.errors import SeasonError
from api.season.lists import MovedOn
from api.season.rejudging import Rejudged
from api.storage.clock import now
from api.storage.schema import answered
from api.trail import Actor

Done = TypeVar("Done")
MOST_ROUNDS: Final = 5
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
    kept: str | None = None
    """What is kept to be answered again, where the answer holds a secret that is told once."""

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


class AnsweredBefore(Exception):  # noqa: N818  the answer itself, raised from within an act
    """The key was used before, by the same request: the act is not done again."""

    def __init__(self, answer: Answer) -> None:
        self.answer = answer
        super().__init__("answered before")


async def perform(
    request: Request,
    caller: Caller,
    key: str,
    said: str,
    act: Callable[[Acting], Done],
    told: Callable[[Done], Answer],
) -> Response:
    """Do an act and answer with what is `told` of it; from memory where the key was used.

    `said` is what was sent, beside method and address: the same key with something else is refused. The
    answer is kept in the transaction of what the act writes.
    """
    sent = f"{request.method} {request.url.path}\0{request.headers.get('if-match', '')}\0{said}"
    fingerprint = hashlib.sha256(sent.encode("utf-8", "surrogatepass")).hexdigest()
    answer = await run_in_threadpool(_perform, caller, key, fingerprint, act, told)
    caller.server.worker.wake()
    return answer.response()


def standing(judged: Rejudged) -> dict[str, str | int]:
    """How a boat stands now, as every write about her is answered."""
    docs = judged.docs
    return {
        "boat_etag": judged.etag, "open_shalls": docs.open_shalls, "open_shoulds": docs.open_shoulds,
        "site_job": judged.job,
    }  # fmt: skip


def _perform(
    caller: Caller,
    key: str,
    fingerprint: str,
    act: Callable[[Acting], Done],
    told: Callable[[Done], Answer],
) -> Answer:
    server, token = caller.server, caller.token

    def refuse_twice(connection: Connection) -> None:
        known = _earlier(connection, token.id, key, fingerprint)
        if known is not None:
            raise AnsweredBefore(known)

    def once(work: Callable[[Connection], Result]) -> Result:
        def whole(connection: Connection) -> Result:
            refuse_twice(connection)
            done = work(connection)
            answer = told(cast("Done", done))  # an act writes once, and gives what it wrote
            connection.execute(insert(answered), {
                "token_id": token.id, "key": key, "fingerprint": fingerprint, "status": answer.status,
                "headers": json.dumps(dict(answer.headers)),
                "body": answer.body if answer.kept is None else answer.kept, "at": now(),
            })  # fmt: skip
            return done

        return server.store.write(whole)

    try:
        with server.store.read() as connection:
            refuse_twice(connection)
        try:
            return told(_by_rules_in_force(server, token.actor, act, once))
        except SeasonError as problem:
            # The first use of the key may have ended since the look above, and have changed the version.
            if problem.code in {"changed-meanwhile", "conflict"}:
                with server.store.read() as connection:
                    refuse_twice(connection)
            raise
    except AnsweredBefore as before:
        return before.answer


def _by_rules_in_force(server: Server, actor: Actor, act: Callable[[Acting], Done], once: Transact) -> Done:
    """Do an act, from the start again where other rules came into force in its midst."""
    for _ in range(MOST_ROUNDS):
        at = server.engines.in_force()
        with suppress(MovedOn):
            return act(Acting(actor, server.store, at.engine, at.number, server.settings, once))
    raise Problem(
        "not-ready", "The rules are just being changed. Send it again.", headers={"retry-after": "1"}
    )


def _earlier(connection: Connection, token_id: str, key: str, fingerprint: str) -> Answer | None:
    row = connection.execute(_EARLIER, {"token": token_id, "used": key}).first()
    if row is None:
        return None
    if row.fingerprint != fingerprint:
        raise Problem("key-used-otherwise", "Send a new key with a new request.")
    return Answer(row.status, row.body, json.loads(row.headers), replayed=True)
