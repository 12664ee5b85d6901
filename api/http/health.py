"""Whether the program runs, whether it is ready, and what it has done."""

from __future__ import annotations

import logging
from typing import Final

from fastapi import APIRouter
from sqlalchemy import func, select
from sqlalchemy.exc import SQLAlchemyError
from starlette.responses import JSONResponse, PlainTextResponse, Response

from api.http import shown
from api.http.context import Served, Signed
from api.http.describe import problems
from api.http.problems import Problem
from api.storage.migrate import current, newest
from api.storage.schema import jobs

router: Final = APIRouter(tags=["health"])
_log: Final = logging.getLogger(__name__)
_OPEN: Final = {
    status: told for status, told in problems(503).items() if status not in (401, 403, 422, 429, 400)
}


@router.get("/health", response_model=shown.Health, responses=_OPEN)
async def health() -> Response:
    """The program runs. Needs no token."""
    return JSONResponse({"status": "runs"})


@router.get("/ready", response_model=shown.Health, responses=_OPEN)
def ready(server: Served) -> Response:
    """The database answers and has the form this program works with. Needs no token."""
    try:
        fits = current(server.store) == newest()
    except SQLAlchemyError:
        _log.exception("the database does not answer")
        fits = False
    if not fits:
        raise Problem("not-ready", "The database does not answer, or was not brought up to date.")
    return JSONResponse({"status": "ready"})


@router.get("/metrics", responses=problems(), response_class=PlainTextResponse)
def metrics(caller: Signed) -> Response:
    """Counts for a collector, in its text form."""
    caller.must("metrics.read")
    with caller.server.store.read() as connection:
        rows = connection.execute(select(jobs.c.state, func.count()).group_by(jobs.c.state))
        by_state = {str(state): int(count) for state, count in rows}
    return PlainTextResponse(caller.server.metrics.text(by_state))
