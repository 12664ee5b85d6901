"""What a request works with: the parts of the server, who asks, and what the headers say."""

from __future__ import annotations

import asyncio
import json
import logging
import re
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from typing import Annotated, Any, Final, TypeVar

import pydantic_core
from fastapi import Depends, Path, Request
from pydantic import BaseModel, ValidationError

from api.http.metrics import Metrics
from api.http.problems import Problem
from api.jobs.worker import Worker
from api.judging.run import Engine
from api.season.engines import Engines
from api.settings import Settings
from api.signin import Guesses, LockedOut, RateLimit, Token, Tokens, TooManyRequests
from api.signin.roles import Permission
from api.storage.store import Store

Body = TypeVar("Body", bound=BaseModel)

FLEET_FORM: Final = r"^f[0-9a-f]{12}$"
BOAT_FORM: Final = r"^[a-z0-9][a-z0-9-]{7,63}$"
_KEY: Final = re.compile(r"[A-Za-z0-9_-]{8,128}")
_JSON: Final = re.compile(r"application/json(?:\s*;\s*charset=\"?utf-8\"?)?", re.IGNORECASE)
_ETAG: Final = re.compile(r'"[!#-~]{1,64}"')
_TAG: Final = re.compile(r'(?:W/)?"[!#-~\x80-\xff]*"')
_MOST_ERRORS: Final = 20
_log: Final = logging.getLogger(__name__)

FleetId = Annotated[str, Path(pattern=FLEET_FORM, max_length=13)]
BoatId = Annotated[str, Path(pattern=BOAT_FORM, max_length=64)]


@dataclass(frozen=True)
class Server:
    """The parts every route may use."""

    settings: Settings
    store: Store
    engines: Engines
    tokens: Tokens
    rate_limit: RateLimit
    guesses: Guesses
    metrics: Metrics
    worker: Worker
    background: ThreadPoolExecutor = field(
        default_factory=lambda: ThreadPoolExecutor(1, thread_name_prefix="token-use")
    )

    @property
    def engine(self) -> Engine:
        """The engine for the rules in force; another process may have changed them."""
        return self.engines.in_force().engine


@dataclass(frozen=True)
class Caller:
    """Who asks, and with what."""

    server: Server
    token: Token

    def must(self, permission: Permission, fleet_id: str | None = None, boat_id: str | None = None) -> None:
        """Refuse with a problem unless the token may do this here."""
        if not self.token.may(permission, fleet_id, boat_id):
            raise Problem("not-allowed", "Ask the safety officer for a token of another role or fleet.")


async def server_of(request: Request) -> Server:
    """The server this request came to."""
    server: Server = request.app.state.server
    return server


async def signed_in(request: Request) -> Caller:
    """The caller by bearer token; a problem where the token does not count."""
    server: Server = request.app.state.server
    address = request.client.host if request.client else "unknown"
    try:
        header = request.headers.get("authorization", "")
        scheme, _, secret = header.partition(" ")
        if scheme.lower() != "bearer" or not secret:
            server.rate_limit.count(f"address {address}")
            raise Problem("no-token", headers={"www-authenticate": "Bearer"})
        token = server.tokens.find(secret.strip())
        if token is None:
            raise await _wrong(server, address, secret.strip())
        server.rate_limit.count(token.id, by_link=token.role == "skipper")
    except TooManyRequests as limit:
        raise Problem("too-many-requests", headers=_wait(limit)) from None
    except LockedOut as limit:
        raise Problem("locked-out", headers=_wait(limit)) from None
    if request.scope["query_string"]:
        refuse_unknown_queries(request)
    if server.tokens.use_to_note(token):
        server.background.submit(_note, server.tokens, token)
    return Caller(server, token)


async def _wrong(server: Server, address: str, secret: str) -> Problem:
    """The problem of a token that does not count; LockedOut where it is one guess too many.

    A token that was good once is no guess: a phone that still sends it does not lock out the others.
    """
    headers = {"www-authenticate": 'Bearer error="invalid_token"'}
    if server.tokens.has_ended(secret):
        return Problem("bad-token", "It has ended. Ask the safety officer for a new one.", headers=headers)
    server.guesses.refuse_locked(address)
    await asyncio.get_running_loop().run_in_executor(server.background, server.guesses.wrong, address)
    return Problem("bad-token", "There is no such token. Copy it again, whole.", headers=headers)


def refuse_unknown_queries(request: Request) -> None:
    """A problem where the address carries a query that the route does not know, or one of them twice."""
    route = request.scope["route"]
    operation = request.app.openapi()["paths"].get(route.path_format, {}).get(request.method.lower(), {})
    known = {parameter["name"] for parameter in operation.get("parameters", []) if parameter["in"] == "query"}
    names = [name for name, _ in request.query_params.multi_items()]
    if len(set(names)) != len(names) or not known.issuperset(names):
        expected = f"each at most once: {', '.join(sorted(known))}" if known else "no query"
        raise Problem("not-valid", "See errors.", errors=[
            {"field": "query", "code": "unknown_query", "expected": expected}
        ])  # fmt: skip


Signed = Annotated[Caller, Depends(signed_in)]
Served = Annotated[Server, Depends(server_of)]


def idempotency_key(request: Request) -> str:
    """The key of a write; 428 where there is none, 400 where it is no key."""
    keys = request.headers.getlist("idempotency-key")
    if not keys:
        raise Problem("no-idempotency-key", "Send a new random Idempotency-Key with every write.")
    if len(keys) > 1 or not _KEY.fullmatch(keys[0]):
        raise Problem("bad-request", "Idempotency-Key: 8 to 128 letters, digits, hyphens or underscores.")
    return keys[0]


def if_match(request: Request) -> str:
    """The version a write is about; 428 where it is not said, 400 where it is no single ETag."""
    tags = request.headers.getlist("if-match")
    if not tags:
        raise Problem("no-if-match", "Send the ETag you last read as If-Match.")
    if len(tags) > 1 or not _ETAG.fullmatch(tags[0].strip()):
        raise Problem("bad-request", "If-Match: one ETag as it was received, in quotes.")
    return tags[0].strip()


def unchanged(request: Request, etag: str) -> bool:
    """Whether the client has this version already (If-None-Match), by a tag that may be weak."""
    wanted = ", ".join(request.headers.getlist("if-none-match")).strip()
    return wanted == "*" or etag in [tag.removeprefix("W/") for tag in _TAG.findall(wanted)]


async def body_of(request: Request, model: type[Body]) -> Body:
    """The JSON body as a checked object; nothing of it is repeated in the problem."""
    if not _JSON.fullmatch(request.headers.get("content-type", "").strip()):
        raise Problem("wrong-content-type", "Send application/json.")
    if request.headers.get("content-encoding", "identity").lower() != "identity":
        raise Problem("wrong-content-type", "Send it without Content-Encoding.")
    raw = await request.body()
    try:
        body = model.model_validate_json(raw)
        json.loads(raw, object_pairs_hook=_no_twins)
        return body
    except ValidationError as problem:
        raise not_valid(
            problem.errors(include_url=False, include_context=False, include_input=False)
        ) from None
    except (ValueError, RecursionError, pydantic_core.PydanticSerializationError):
        raise Problem("bad-request", "The body is not JSON.") from None


def _no_twins(members: list[tuple[str, Any]]) -> None:
    """Refuse an object that says something twice: which of the two was meant [RFC 7493, 2.3]?"""
    if len({name for name, _ in members}) != len(members):
        raise Problem("bad-request", "The body says one of its names twice.")


def not_valid(errors: Any) -> Problem:
    """The problem of fields that do not fit, by place and kind, without what was sent."""
    described = [
        {
            "field": _place(error["loc"], error["type"]),
            "code": str(error["type"]),
            "expected": str(error["msg"]),
        }
        for error in list(errors)[:_MOST_ERRORS]
    ]
    if any(error["code"] == "json_invalid" for error in described):
        return Problem("bad-request", "The body is not JSON.")
    return Problem("not-valid", "See errors.", errors=described)


def _place(parts: Any, kind: str) -> str:
    """Where an error is; names that the client made up are not repeated."""
    if kind == "extra_forbidden":
        parts = (*parts[:-1], "?")
    return ".".join(str(part) if re.fullmatch(r"[a-z_0-9-]{1,40}", str(part)) else "?" for part in parts)


def _wait(limit: LockedOut) -> dict[str, str]:
    return {"retry-after": str(max(1, round(limit.wait_s)))}


def _note(tokens: Tokens, token: Token) -> None:
    try:
        tokens.note_use(token)
    except Exception:
        _log.exception("the use of a token could not be noted")
