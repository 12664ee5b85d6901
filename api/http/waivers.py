"""Waivers: a finding set aside for one boat by the officer until a date, or taken back."""

from __future__ import annotations

import secrets
from dataclasses import replace
from typing import Annotated, Final

from fastapi import APIRouter, Path, Request
from sqlalchemy import Connection, RowMapping, insert, select, update
from starlette.concurrency import run_in_threadpool
from starlette.responses import Response

from api.http import boat_response_models as response_models
from api.http.context import Caller, FleetId, Signed, body_of, idempotency_key, if_match
from api.http.describe import KEY_HEADER, MATCH_HEADER, problems, taking
from api.http.fleets import fleet_version
from api.http.models import NewWaiver, Withdrawal
from api.http.paging import Cursor, Limit, page, place_of
from api.http.problems import Problem
from api.http.rejudge import Rejudged, Seen, judge_again, keep_judged, see
from api.http.response_models import Page
from api.http.writing import Answer, perform
from api.judging.run import waiver_of
from api.storage.boats import KeptResult
from api.storage.clock import now
from api.storage.schema import waivers
from api.storage.scrutiny import next_number, waiver_document
from api.trail import append
from sizing.policy import Waiver

router: Final = APIRouter(tags=["waivers"])
Number = Annotated[int, Path(ge=1, le=1_000_000_000)]
_WRITE: Final = problems(404, 409, 412, 415, 428)
_ALL: Final = "/v1/fleets/{fleet_id}/waivers"


@router.get(_ALL, response_model=Page[response_models.Waiver], responses=problems(404))
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

    def prepare() -> tuple[Seen, Waiver, KeptResult]:
        seen = see(caller, fleet_id, body.boat_id, match)
        if any(waiver.check == body.check for waiver in seen.scrutiny.waivers):
            raise Problem(
                "conflict", "This finding of the boat is waived already; withdraw that waiver first."
            )
        waiver = waiver_of(seen.boat.entry_no, body.check, body.reason, body.officer, body.until)
        if waiver is None:
            raise Problem(
                "conflict", "The rally's policy cannot hold such a waiver; is the entry number too long?"
            )
        scrutiny = replace(seen.scrutiny, waivers=(*seen.scrutiny.waivers, waiver))
        return seen, waiver, judge_again(caller, seen, scrutiny)

    def write(connection: Connection, prepared: tuple[Seen, Waiver, KeptResult]) -> Answer:
        seen, waiver, result = prepared
        judged = keep_judged(connection, caller, fleet_id, seen, result)
        number = next_number(connection, waivers, fleet_id)
        connection.execute(
            insert(waivers).values(
                id=f"w{secrets.token_hex(8)}",
                fleet_id=fleet_id,
                boat_id=body.boat_id,
                entry_no=waiver.entry_no,
                number=number,
                check_id=waiver.check,
                reason=waiver.reason,
                officer=waiver.officer,
                until=waiver.until.isoformat(),
                state="given",
                made_at=now(),
                made_by=caller.token.label,
            )
        )
        append(
            connection, caller.token.actor, "waiver.given", fleet_id, f"{body.boat_id} {waiver.check}",
            before=_standing(seen, result, body.check), after=waiver.model_dump(mode="json"),
        )  # fmt: skip
        return _answer(connection, fleet_id, number, judged, 201)

    return await perform(request, caller, key, body.model_dump_json(), prepare, write)


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
    boat_id = await run_in_threadpool(_boat_of, caller, fleet_id, number)

    def prepare() -> tuple[Seen, KeptResult]:
        seen = see(caller, fleet_id, boat_id, match)
        with caller.server.store.read() as connection:
            row = _waiver(connection, fleet_id, number)
        rest = tuple(w for w in seen.scrutiny.waivers if w.check != row["check_id"])
        return seen, judge_again(caller, seen, replace(seen.scrutiny, waivers=rest))

    def write(connection: Connection, prepared: tuple[Seen, KeptResult]) -> Answer:
        row = _waiver(connection, fleet_id, number)
        if row["state"] == "withdrawn":
            raise Problem("conflict", "This waiver is withdrawn.")
        judged = keep_judged(connection, caller, fleet_id, *prepared)
        connection.execute(
            update(waivers)
            .where(waivers.c.id == row["id"])
            .values(state="withdrawn", withdrawn_at=now(), withdrawn_by=caller.token.label)
        )
        append(
            connection, caller.token.actor, "waiver.withdrawn", fleet_id, f"{boat_id} {row['check_id']}",
            before=waiver_document(row), after={"state": "withdrawn", "reason": body.reason},
        )  # fmt: skip
        return _answer(connection, fleet_id, number, judged, 200)

    return await perform(request, caller, key, body.model_dump_json(), prepare, write)


def _standing(seen: Seen, result: KeptResult, check: str) -> dict[str, str]:
    """What the waiver sets aside, as the engine says it in the note of the finding."""
    note = next((str(f["note"]) for f in result.findings if f["check"] == check), "")
    return {"entry_no": seen.boat.entry_no, "check": check, "note": note}


def _boat_of(caller: Caller, fleet_id: str, number: int) -> str:
    with caller.server.store.read() as connection:
        return str(_waiver(connection, fleet_id, number)["boat_id"])


def _waiver(connection: Connection, fleet_id: str, number: int) -> RowMapping:
    row = (
        connection.execute(select(waivers).where(waivers.c.fleet_id == fleet_id, waivers.c.number == number))
        .mappings()
        .first()
    )
    if row is None:
        raise Problem("not-found", "There is no waiver of this number.")
    return row


def _answer(connection: Connection, fleet_id: str, number: int, judged: Rejudged, status: int) -> Answer:
    document = {"waiver": waiver_document(_waiver(connection, fleet_id, number)), **judged.standing}
    return Answer.of(status, document, {"etag": judged.etag})
