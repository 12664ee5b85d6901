"""Inspections: what a scrutineer found aboard, signed off, or withdrawn. Nothing is ever deleted."""

from __future__ import annotations

import datetime as dt
import json
import secrets
from dataclasses import replace
from typing import Annotated, Any, Final

from fastapi import APIRouter, Path, Request
from sqlalchemy import Connection, RowMapping, insert, select, update
from starlette.responses import Response

from api.http import boat_response_models as response_models
from api.http.boats import taken_of, the_boat
from api.http.context import BoatId, Caller, FleetId, Signed, body_of, idempotency_key, if_match
from api.http.describe import KEY_HEADER, MATCH_HEADER, problems, taking
from api.http.fleets import fleet_version
from api.http.models import NewInspection, SignOff, Withdrawal
from api.http.observed import FIELD, observed
from api.http.paging import Cursor, Limit, page, place_of
from api.http.problems import Problem
from api.http.rejudge import (
    Rejudged,
    Seen,
    judge_again,
    keep_judged,
    see,
    with_figures,
    with_inspection,
)
from api.http.response_models import Page
from api.http.writing import Answer, perform
from api.judging.sheet import notation_of
from api.storage.boats import KeptResult, kept_boat
from api.storage.clock import now
from api.storage.schema import inspections
from api.storage.scrutiny import inspection_document, next_number
from api.trail import append
from sizing.policy_tables import is_written

router: Final = APIRouter(tags=["inspections"])
Number = Annotated[int, Path(ge=1, le=1_000_000_000)]
_WRITE: Final = problems(404, 409, 412, 415, 428)
_BOAT: Final = "/v1/fleets/{fleet_id}/boats/{boat_id}/inspections"


@router.get(_BOAT, response_model=Page[response_models.Inspection], responses=problems(404))
def boat_inspections(
    caller: Signed, fleet_id: FleetId, boat_id: BoatId, cursor: Cursor = None, limit: Limit = 50
) -> Response:
    """All inspections of a boat, oldest first, withdrawn ones among them."""
    caller.must("inspection.read", fleet_id, boat_id)
    return _list(caller, fleet_id, boat_id, cursor, limit)


@router.get(
    "/v1/fleets/{fleet_id}/inspections",
    response_model=Page[response_models.Inspection],
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
    inspection_id = f"i{secrets.token_hex(8)}"

    def prepare() -> tuple[Seen, list[dict[str, Any]], KeptResult, str | None]:
        seen = see(caller, fleet_id, boat_id, match)
        at = observed(body.observed_at_phone_clock, dt.datetime.now(dt.UTC))
        if not body.measurements and not is_written(body.note) and not body.photo:
            raise Problem("not-valid", "An inspection holds a measurement, a photo or a note.")
        taken = taken_of(body.measurements, "measurements", notation_of(seen.boat.sheet))
        result = judge_again(caller, seen, with_inspection(seen, inspection_id, taken), taken)
        return seen, with_figures(taken, result), result, at

    def write(
        connection: Connection, prepared: tuple[Seen, list[dict[str, Any]], KeptResult, str | None]
    ) -> Answer:
        seen, taken, result, at = prepared
        judged = keep_judged(connection, caller, fleet_id, seen, result)
        connection.execute(
            insert(inspections).values(
                id=inspection_id, fleet_id=fleet_id, boat_id=boat_id,
                number=next_number(connection, inspections, fleet_id), state="recorded",
                measured=json.dumps(taken, ensure_ascii=False), photo=body.photo, note=body.note,
                made_at=now(), observed_at_phone_clock=at, made_by=caller.token.label,
                token_id=caller.token.id, reason="",
            )
        )  # fmt: skip
        before = seen.boat.cells["cells"] | {name: one.text for name, one in seen.scrutiny.found.items()}
        append(
            connection, caller.token.actor, "inspection.recorded", fleet_id, f"{boat_id} {inspection_id}",
            before=[{"field": one["field"], "value": before.get(one["field"])} for one in taken],
            after={
                "measured": [{"field": one["field"], "value": one["text"]} for one in taken],
                "note": body.note, "photo": body.photo, FIELD: at,
            },
        )  # fmt: skip
        return _answer(connection, inspection_id, judged, 201)

    return await perform(request, caller, key, body.model_dump_json(), prepare, write)


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

    def prepare() -> tuple[Seen, KeptResult]:
        seen = see(caller, fleet_id, boat_id, match)
        return seen, judge_again(caller, seen, seen.scrutiny)

    def write(connection: Connection, prepared: tuple[Seen, KeptResult]) -> Answer:
        row = _inspection(connection, fleet_id, boat_id, number)
        if row["state"] != "recorded":
            raise Problem("conflict", f"This inspection is {row['state']}.")
        judged = keep_judged(connection, caller, fleet_id, *prepared)
        connection.execute(
            update(inspections)
            .where(inspections.c.id == row["id"])
            .values(state="signed off", signed_at=now(), signed_by=caller.token.label)
        )
        append(
            connection, caller.token.actor, "inspection.signed-off", fleet_id, f"{boat_id} {row['id']}",
            before={"state": row["state"]}, after={"state": "signed off", "statement": body.statement},
        )  # fmt: skip
        return _answer(connection, row["id"], judged, 200)

    return await perform(request, caller, key, body.model_dump_json(), prepare, write)


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

    def prepare() -> tuple[Seen, KeptResult]:
        seen = see(caller, fleet_id, boat_id, match)
        with caller.server.store.read() as connection:
            row = _inspection(connection, fleet_id, boat_id, number)
        _refuse_withdrawal(caller, row)
        rest = tuple(
            taken
            for taken in seen.scrutiny.measurements
            if not any(one.inspection == row["id"] for one in taken)
        )
        return seen, judge_again(caller, seen, replace(seen.scrutiny, measurements=rest))

    def write(connection: Connection, prepared: tuple[Seen, KeptResult]) -> Answer:
        row = _inspection(connection, fleet_id, boat_id, number)
        _refuse_withdrawal(caller, row)
        judged = keep_judged(connection, caller, fleet_id, *prepared)
        connection.execute(
            update(inspections)
            .where(inspections.c.id == row["id"])
            .values(
                state="withdrawn", withdrawn_at=now(), withdrawn_by=caller.token.label, reason=body.reason
            )
        )
        append(
            connection, caller.token.actor, "inspection.withdrawn", fleet_id, f"{boat_id} {row['id']}",
            before={"state": row["state"], "measured": json.loads(row["measured"])},
            after={"state": "withdrawn", "reason": body.reason},
        )  # fmt: skip
        return _answer(connection, row["id"], judged, 200)

    return await perform(request, caller, key, body.model_dump_json(), prepare, write)


def _refuse_withdrawal(caller: Caller, row: RowMapping) -> None:
    if row["state"] == "withdrawn":
        raise Problem("conflict", "This inspection is withdrawn.")
    own = row["token_id"] == caller.token.id and row["state"] == "recorded"
    if caller.token.role != "officer" and not own:
        raise Problem("not-allowed", "Only the officer withdraws a signed inspection, or another's.")


def _inspection(connection: Connection, fleet_id: str, boat_id: str, number: int) -> RowMapping:
    here = (
        inspections.c.fleet_id == fleet_id,
        inspections.c.boat_id == boat_id,
        inspections.c.number == number,
    )
    row = connection.execute(select(inspections).where(*here)).mappings().first()
    if row is None:
        raise Problem("not-found", "The boat has no inspection of this number.")
    return row


def _answer(connection: Connection, inspection_id: str, judged: Rejudged, status: int) -> Answer:
    row = connection.execute(select(inspections).where(inspections.c.id == inspection_id)).mappings().one()
    document = {"inspection": inspection_document(row), **judged.standing}
    return Answer.of(status, document, {"etag": judged.etag})


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
