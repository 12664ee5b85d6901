"""Whether the program runs, whether it is ready, and what it has done."""

from __future__ import annotations

import asyncio
import logging
from typing import Final

from fastapi import APIRouter
from sqlalchemy import func, select
from sqlalchemy.exc import SQLAlchemyError
from starlette.responses import PlainTextResponse, Response

from api.http.context import Served, Signed
from api.http.describe import problems
from api.http.problems import Problem
from api.http.response_models import Health
from api.storage.migrate import current, newest
from api.storage.schema import jobs
from api.storage.store import Store
from api.storage.unavailable import DatabaseUnavailable

router: Final = APIRouter(tags=["health"])
_log: Final = logging.getLogger(__name__)
SOON_S: Final = 3.0
_OPEN: Final = {
    status: shape for status, shape in problems(503).items() if status not in (401, 403, 422, 429, 400)
}


@router.get("/health", responses=_OPEN)
async def health() -> Health:
    """The program runs. Needs no token."""
    return Health(status="runs")


@router.get("/ready", responses=_OPEN)
async def ready(server: Served) -> Health:
    """The database answers soon and has the form this program works with. Needs no token."""
    looking = asyncio.get_running_loop().run_in_executor(None, _fits, server.store)
    try:
        fits = await asyncio.wait_for(looking, SOON_S)
    except TimeoutError:
        _log.warning("the database did not answer within %.0f s", SOON_S)
        fits = False
    if not fits:
        raise Problem("not-ready", "The database does not answer, or was not brought up to date.")
    return Health(status="ready")


def _fits(store: Store) -> bool:
    try:
        store.refuse_moved()
        return current(store) == newest()
    except (SQLAlchemyError, DatabaseUnavailable) as problem:
        _log.warning("the database does not answer: %s", problem)
        return False


@router.get("/metrics", responses=problems(), response_class=PlainTextResponse)
def metrics(caller: Signed) -> Response:
    """Counts for a collector, in its text form."""
    caller.must("metrics.read")
    with caller.server.store.read() as connection:
        rows = connection.execute(select(jobs.c.state, func.count()).group_by(jobs.c.state))
        by_state = {str(state): int(count) for state, count in rows}
    return PlainTextResponse(caller.server.metrics.text(by_state))
