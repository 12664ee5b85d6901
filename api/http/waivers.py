"""Waivers: a finding set aside for one boat by the officer until a date, or taken back."""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated, Final

from fastapi import APIRouter, Path, Request
from sqlalchemy import select
from starlette.responses import Response

from api.http import boat_response_models as response_models
from api.http.context import FleetId, Signed, body_of, idempotency_key, if_match
from api.http.describe import KEY_HEADER, MATCH_HEADER, problems, taking
from api.http.models import NewWaiver, Withdrawal
from api.http.pages import Cursor, Limit, page, place_of
from api.http.writing import Answer, perform, standing
from api.season.fleets import fleet_version
from api.season.waivers import Waived, give_waiver, withdraw_waiver
from api.storage.schema import waivers
from api.storage.scrutiny import waiver_document

router: Final = APIRouter(tags=["waivers"])
Number = Annotated[int, Path(ge=1, le=1_000_000_000)]
_WRITE: Final = problems(404, 409, 412, 415, 428)
_ALL: Final = "/v1/fleets/{fleet_id}/waivers"


@router.get(_ALL, response_model=response_models.Page[response_models.Waiver], responses=problems(404))
def list_waivers(caller: Signed, fleet_id: FleetId, cursor: Cursor = None, limit: Limit = 50) -> Response:
    """All waivers given here, oldest first, withdrawn ones among them."""
    caller.must("waiver.read", fleet_id)
    query = (
        select(waivers)
        .where(waivers.c.fleet_id == fleet_id, waivers.c.number > place_of(cursor))
        .order_by(waivers.c.number)
        .limit(limit + 1)
    )
    with caller.server.store.read() as connection:
        fleet_version(connection, fleet_id)
        rows = connection.execute(query).mappings().all()
    return page([waiver_document(row) for row in rows], limit, [row["number"] for row in rows])


@router.post(
    _ALL,
    status_code=201,
    response_model=response_models.Waived,
    responses=_WRITE,
    openapi_extra=taking(NewWaiver, KEY_HEADER, MATCH_HEADER),
)
async def give(request: Request, caller: Signed, fleet_id: FleetId) -> Response:
    """Set a finding of a boat aside until a date. It changes no figure. If-Match names the boat's version."""
    caller.must("waiver.write", fleet_id)
    key, match = idempotency_key(request), if_match(request)
    body = await body_of(request, NewWaiver)
    return await perform(
        request, caller, key, body.model_dump_json(),
        lambda acting: give_waiver(acting, fleet_id, **dict(body), match=match), _answer(201),
    )  # fmt: skip


@router.post(
    _ALL + "/{number}/withdrawal",
    response_model=response_models.Waived,
    responses=_WRITE,
    openapi_extra=taking(Withdrawal, KEY_HEADER, MATCH_HEADER),
)
async def withdraw(request: Request, caller: Signed, fleet_id: FleetId, number: Number) -> Response:
    """Take a waiver back: the finding counts again. If-Match names the boat's version."""
    caller.must("waiver.write", fleet_id)
    key, match = idempotency_key(request), if_match(request)
    body = await body_of(request, Withdrawal)
    return await perform(
        request, caller, key, body.model_dump_json(),
        lambda acting: withdraw_waiver(acting, fleet_id, number, body.reason, match), _answer(200),
    )  # fmt: skip


def _answer(status: int) -> Callable[[Waived], Answer]:
    def told(done: Waived) -> Answer:
        document = {"waiver": waiver_document(done.row), **standing(done.judged)}
        return Answer.of(status, document, {"etag": done.judged.etag})

    return told
