"""The application put together: parts, routes, and the one shape of every error."""

from __future__ import annotations

import logging
import re
import sys
from collections.abc import AsyncIterator, Mapping
from contextlib import asynccontextmanager
from importlib.metadata import version
from typing import Any, Final

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from starlette.exceptions import HTTPException
from starlette.middleware.gzip import GZipMiddleware
from starlette.requests import ClientDisconnect
from starlette.responses import Response

from api.http import answers, boats, fleets, health, inspections, jobs, money, orders, trail, uploads, waivers
from api.http.context import Server, not_valid
from api.http.describe import described
from api.http.gate import Gate
from api.http.metrics import Metrics
from api.http.models import (
    NewAnswers,
    NewFleet,
    NewInspection,
    NewLink,
    NewPayment,
    NewSupply,
    NewWaiver,
    SignOff,
    WhatIf,
    Withdrawal,
)
from api.http.pages_open import add_open_pages, page_for_people
from api.http.problems import Problem, problem_response, refusal_response
from api.http.unambiguous import UnambiguousRequests
from api.jobs.worker import Worker
from api.jobs.worker_process import WorkerProcess
from api.judging.sheet import BoatCells
from api.season.engines import Engines
from api.season.errors import SeasonError
from api.season.open_season import prepare
from api.season.serving import begin_serving
from api.settings import Settings
from api.signin import Guesses, RateLimit, Tokens
from api.storage.store import open_store
from api.storage.unavailable import UNAVAILABLE, DatabaseUnavailable
from sizing.fields import FIELDS
from sizing.model import Notation

# A boat is read most often, so her routes are looked at first.
ROUTERS: Final = (boats, inspections, fleets, uploads, jobs, waivers, money, answers, orders, trail, health)
REQUEST_MODELS: Final = (
    NewAnswers,
    NewFleet,
    NewInspection,
    NewLink,
    NewPayment,
    NewSupply,
    NewWaiver,
    SignOff,
    WhatIf,
    Withdrawal,
)
SMALLEST_ZIPPED: Final = 1024
SWITCH_S: Final = 0.0005
"""How long a thread that judges keeps the interpreter while an answer waits for it; Python's own is 5 ms."""

_log: Final = logging.getLogger(__name__)
_DESCRIPTION: Final = """Fleets, boats, findings, inspections and the order of Drogue Muster.

Sign in with a bearer token made by the officer. Every write carries an Idempotency-Key; a write about a boat
names the version it is about in If-Match. Errors are problem documents (RFC 9457) with a stable `code`."""


def make_app(settings: Settings) -> FastAPI:
    """Build the application; the database is opened, and brought up to date, when it starts."""

    @asynccontextmanager
    async def life(app: FastAPI) -> AsyncIterator[None]:
        server = start(settings, metrics)
        app.state.server = server
        try:
            yield
        finally:
            server.worker.stop()
            server.background.shutdown()
            server.store.close()

    metrics = Metrics()
    app = FastAPI(
        title="Drogue Muster", version=version("drogue-muster"), description=_DESCRIPTION, lifespan=life,
        docs_url=None, redoc_url=None, openapi_url=None, redirect_slashes=False,
    )  # fmt: skip
    for module in ROUTERS:
        app.include_router(module.router)
    add_open_pages(app, settings)
    add_error_shapes(app)
    app.add_middleware(GZipMiddleware, minimum_size=SMALLEST_ZIPPED)
    app.add_middleware(UnambiguousRequests)
    app.add_middleware(Gate, limits=settings.limits, metrics=metrics)
    app.openapi = lambda: described(app, REQUEST_MODELS)  # type: ignore[method-assign]
    return app


def start(settings: Settings, metrics: Metrics) -> Server:
    """Open the database, bring it up to date, read the rules, and begin to work off jobs."""
    store = open_store(settings.url)
    prepare(store, settings)
    begin_serving(store, settings)
    engines = Engines(store, settings)
    sys.setswitchinterval(SWITCH_S)
    worker = Worker(store, WorkerProcess(store, settings), settings.stop_seconds)
    worker.start()
    rate_limit, guesses = RateLimit(settings.limits), Guesses(store, settings.limits)
    server = Server(settings, store, engines, Tokens(store), rate_limit, guesses, metrics, worker)
    server.background.submit(warm, engines, settings)
    return server


def warm(engines: Engines, settings: Settings) -> None:
    """Judge the boat of the entry sheet's examples, so that nobody's first inspection waits for loading."""
    cells = {field.name: field.example for field in FIELDS if field.published}
    try:
        engines.in_force().engine.what_if(Notation(decimal="."), BoatCells(cells), {}, settings.day())
    except Exception:
        _log.exception("the example boat could not be judged")


def add_error_shapes(app: FastAPI) -> None:
    """Answer every error as a problem document."""

    @app.exception_handler(Problem)
    async def as_problem(_request: Request, problem: Problem) -> Response:
        return problem.response()

    @app.exception_handler(SeasonError)
    async def as_refused(_request: Request, refusal: SeasonError) -> Response:
        return refusal_response(refusal)

    @app.exception_handler(RequestValidationError)
    async def not_fitting(_request: Request, error: RequestValidationError) -> Response:
        return not_valid(error.errors()).response()

    @app.exception_handler(HTTPException)
    async def of_the_framework(request: Request, error: HTTPException) -> Response:
        if error.status_code == 404:
            return page_for_people(request) or problem_response("not-found")
        if error.status_code == 405:
            allowed = ", ".join(methods_of(app.openapi()["paths"], request.url.path))
            return problem_response("method-not-allowed", headers={"allow": allowed or "GET, HEAD"})
        return problem_response("bad-request")

    async def without_database(_request: Request, error: Exception) -> Response:
        _log.warning("the database does not answer: %s", error)
        detail = "The database does not answer. Send the same again in a while, a write with the same key."
        return problem_response("not-ready", detail, headers={"retry-after": "5"})

    for kind in (*UNAVAILABLE, DatabaseUnavailable):
        app.add_exception_handler(kind, without_database)

    @app.exception_handler(ClientDisconnect)
    async def gone(_request: Request, _error: ClientDisconnect) -> Response:
        return problem_response("bad-request", "The request was broken off; nothing of it was kept.")


def methods_of(paths: Mapping[str, Mapping[str, Any]], address: str) -> list[str]:
    """All methods an address takes, over every route of that address.

    >>> methods_of({"/a/{b}": {"get": {}, "post": {}}}, "/a/1")
    ['GET', 'HEAD', 'POST']
    """
    for path, operations in paths.items():
        form = "/".join("[^/]+" if part.startswith("{") else re.escape(part) for part in path.split("/"))
        if re.fullmatch(form, address):
            return sorted({*map(str.upper, operations)} | ({"HEAD"} if "get" in operations else set()))
    return []
