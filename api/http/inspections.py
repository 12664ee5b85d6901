"""Inspections: what a scrutineer found aboard, signed off, or withdrawn. Nothing is ever deleted."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Annotated, Any, Final

from fastapi import APIRouter, Path, Request
from sqlalchemy import RowMapping, select
from starlette.responses import Response

from api.http import boat_response_models as response_models
from api.http.context import BoatId, Caller, FleetId, Signed, body_of, idempotency_key, if_match
from api.http.describe import KEY_HEADER, MATCH_HEADER, problems, taking
from api.http.models import NewInspection, SignOff, Withdrawal
from api.http.pages import Cursor, Limit, page, place_of
from api.http.writing import Answer, perform, standing
from api.season.fleets import fleet_version
from api.season.inspections import (
    FoundAboard,
    Inspected,
    record_inspection,
    sign_off_inspection,
    withdraw_inspection,
)
from api.season.rejudging import the_boat
from api.season.reopening import changed_cells
from api.storage.boats import kept_boat
from api.storage.schema import inspections
from sizing.redaction import redact

router: Final = APIRouter(tags=["inspections"])
Number = Annotated[int, Path(ge=1, le=1_000_000_000)]
_WRITE: Final = problems(404, 409, 412, 415, 428)
_BOAT: Final = "/v1/fleets/{fleet_id}/boats/{boat_id}/inspections"


@router.get(_BOAT, response_model=response_models.Page[response_models.Inspection], responses=problems(404))
def boat_inspections(
    caller: Signed, fleet_id: FleetId, boat_id: BoatId, cursor: Cursor = None, limit: Limit = 50
) -> Response:
    """All inspections of a boat, oldest first, withdrawn ones among them."""
    caller.must("inspection.read", fleet_id, boat_id)
    return _list(caller, fleet_id, boat_id, cursor, limit)


@router.get(
    "/v1/fleets/{fleet_id}/inspections",
    response_model=response_models.Page[response_models.Inspection],
    responses=problems(404),
)
def fleet_inspections(
    caller: Signed, fleet_id: FleetId, cursor: Cursor = None, limit: Limit = 50
) -> Response:
    """All inspections of the fleet, oldest first."""
    caller.must("inspection.read", fleet_id)
    return _list(caller, fleet_id, None, cursor, limit)


@router.post(
    _BOAT,
    status_code=201,
    response_model=response_models.Inspected,
    responses=_WRITE,
    openapi_extra=taking(NewInspection, KEY_HEADER, MATCH_HEADER),
)
async def record(request: Request, caller: Signed, fleet_id: FleetId, boat_id: BoatId) -> Response:
    """Record what was found aboard; her findings are worked out anew at once, and her page follows.

    Of each column the measurement that arrived last counts, also where a phone's clock says that it was seen
    earlier than another: a clock may be wrong, and whoever sent it has looked at what stood (If-Match).
    """
    caller.must("inspection.write", fleet_id, boat_id)
    key, match = idempotency_key(request), if_match(request)
    body = await body_of(request, NewInspection)
    measured = [(one.field, one.value) for one in body.measurements]
    aboard = FoundAboard(measured, body.note, body.photo, body.observed_at_phone_clock)
    return await perform(
        request, caller, key, body.model_dump_json(),
        lambda acting: record_inspection(acting, fleet_id, boat_id, aboard, match), _answer(201),
    )  # fmt: skip


@router.post(
    _BOAT + "/{number}/sign-off",
    response_model=response_models.Inspected,
    responses=_WRITE,
    openapi_extra=taking(SignOff, KEY_HEADER, MATCH_HEADER),
)
async def sign_off(
    request: Request, caller: Signed, fleet_id: FleetId, boat_id: BoatId, number: Number
) -> Response:
    """State that an inspection is right as it stands. From then on only the officer may withdraw it."""
    caller.must("inspection.sign", fleet_id, boat_id)
    key, match = idempotency_key(request), if_match(request)
    body = await body_of(request, SignOff)
    return await perform(
        request, caller, key, body.model_dump_json(),
        lambda acting: sign_off_inspection(acting, fleet_id, boat_id, number, body.statement, match),
        _answer(200),
    )  # fmt: skip


@router.post(
    _BOAT + "/{number}/withdrawal",
    response_model=response_models.Inspected,
    responses=_WRITE,
    openapi_extra=taking(Withdrawal, KEY_HEADER, MATCH_HEADER),
)
async def withdraw(
    request: Request, caller: Signed, fleet_id: FleetId, boat_id: BoatId, number: Number
) -> Response:
    """Take an inspection back: it stays to be read, and what it replaced counts again."""
    caller.must("inspection.write", fleet_id, boat_id)
    key, match = idempotency_key(request), if_match(request)
    body = await body_of(request, Withdrawal)
    return await perform(
        request, caller, key, body.model_dump_json(),
        lambda acting: withdraw_inspection(acting, fleet_id, boat_id, number, body.reason, match),
        _answer(200),
    )  # fmt: skip


def inspection_document(row: RowMapping) -> dict[str, Any]:
    """An inspection as it is shown."""
    hidden = ("measured", "token_id", "covers")
    measured = [{k: one[k] for k in ("field", "text", "si")} for one in json.loads(row["measured"])]
    changed = [
        {"field": one.field, "listed": redact(one.listed), "now": redact(one.now)}
        for one in changed_cells(row)
    ]
    return {k: v for k, v in row.items() if k not in hidden} | {"measured": measured, "changed": changed}


def _answer(status: int) -> Callable[[Inspected], Answer]:
    def told(done: Inspected) -> Answer:
        document = {"inspection": inspection_document(done.row), **standing(done.judged)}
        return Answer.of(status, document, {"etag": done.judged.etag})

    return told


def _list(caller: Caller, fleet_id: str, boat_id: str | None, cursor: str | None, limit: int) -> Response:
    query = (
        select(inspections)
        .where(inspections.c.fleet_id == fleet_id, inspections.c.number > place_of(cursor))
        .order_by(inspections.c.number)
        .limit(limit + 1)
    )
    with caller.server.store.read() as connection:
        if boat_id is not None:
            the_boat(kept_boat(connection, fleet_id, boat_id))
            query = query.where(inspections.c.boat_id == boat_id)
        fleet_version(connection, fleet_id)
        rows = connection.execute(query).mappings().all()
    return page([inspection_document(row) for row in rows], limit, [row["number"] for row in rows])
