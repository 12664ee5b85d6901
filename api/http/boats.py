"""Boats: found, looked at, with requirement and findings; and what would follow if she were otherwise."""

from __future__ import annotations

from typing import Annotated, Any, Final, Literal

from fastapi import APIRouter, Query, Request
from sqlalchemy import select
from starlette.concurrency import run_in_threadpool
from starlette.responses import JSONResponse, Response

from api.http import boat_response_models as response_models
from api.http.context import BoatId, Caller, FleetId, Signed, body_of, unchanged
from api.http.describe import NONE_MATCH_HEADER, NOT_CHANGED, problems, taking
from api.http.models import WhatIf
from api.http.pages import Cursor, Limit, not_changed, page, place_of
from api.judging.documents import field_documents
from api.judging.measured import MeasurementError
from api.judging.run import Scrutiny
from api.judging.sheet import BoatCells, notation_of
from api.season.fleets import fleet_version
from api.season.inspections import taken_of
from api.season.rejudging import not_measurable, the_boat
from api.storage.boats import REQUIREMENT, RESULT, kept_boat, kept_findings, kept_text
from api.storage.schema import entries, findings, results
from api.storage.scrutiny import scrutiny_of

router: Final = APIRouter(tags=["boats"])
FINDINGS_A_BOAT: Final = 1000
StandingWord = Literal["meets", "short", "absent", "unproven", "waived", "not applicable"]
_CACHED: Final = {"cache-control": "private, no-cache"}

Search = Annotated[
    str,
    Query(
        max_length=80,
        pattern=r"^[^\x00-\x1f\x7f]*$",
        description="Part of a name, number, sail number or berth",
    ),
]
Family = Annotated[str, Query(max_length=40, pattern=r"^[a-z -]*$", description="Family of checks")]
CheckName = Annotated[str, Query(max_length=80, pattern=r"^[a-z.-]*$", description="Id of a check")]


@router.get(
    "/v1/fleets/{fleet_id}/boats/{boat_id}",
    response_model=response_models.Boat,
    responses={**problems(404), **NOT_CHANGED},
    openapi_extra=taking(None, NONE_MATCH_HEADER),
)
async def get_boat(request: Request, caller: Signed, fleet_id: FleetId, boat_id: BoatId) -> Response:
    """A boat with her latest result. Her ETag is what a write about her has to name."""
    caller.must("boat.read", fleet_id, boat_id)
    return _kept_text(request, caller, RESULT, fleet_id, boat_id)


@router.get("/v1/fields", response_model=response_models.Fields, responses=problems())
async def fields(caller: Signed) -> Response:
    """The columns that can be measured aboard, and how each is written."""
    return JSONResponse({"items": field_documents()})


@router.get(
    "/v1/fleets/{fleet_id}/boats",
    response_model=response_models.Page[response_models.BoatLine],
    responses={**problems(404), **NOT_CHANGED},
    openapi_extra=taking(None, NONE_MATCH_HEADER),
)
def list_boats(
    request: Request,
    caller: Signed,
    fleet_id: FleetId,
    q: Search = "",
    open_shalls: Annotated[
        bool | None, Query(description="Only boats with (or without) something required still to do")
    ] = None,
    cursor: Cursor = None,
    limit: Limit = 50,
) -> Response:
    """Boats in the order of the entry list; `q` looks in name, entry number, sail number and berth."""
    caller.must("boats.list", fleet_id)
    query = (
        select(
            entries.c.boat_id.label("id"), entries.c.entry_no, entries.c.boat_name, entries.c.sail_no,
            entries.c.berth, results.c.version, results.c.open_shalls, results.c.open_shoulds,
            results.c.stage, results.c.computed, entries.c.row,
        )
        .join(results, (results.c.fleet_id == entries.c.fleet_id) & (results.c.boat_id == entries.c.boat_id))
        .where(entries.c.fleet_id == fleet_id, entries.c.row > place_of(cursor))
        .order_by(entries.c.row)
        .limit(limit + 1)
    )  # fmt: skip
    if q.strip():
        query = query.where(entries.c.search.contains(q.strip().casefold(), autoescape=True))
    if open_shalls is not None:
        query = query.where(results.c.open_shalls > 0 if open_shalls else results.c.open_shalls == 0)
    with caller.server.store.read() as connection:
        etag = f'"{fleet_version(connection, fleet_id)}"'
        if unchanged(request, etag):
            return not_changed(etag)
        rows = connection.execute(query).mappings().all()
    items = [
        {**{k: v for k, v in row.items() if k != "row"}, "computed": bool(row["computed"])} for row in rows
    ]
    return page(items, limit, [row["row"] for row in rows], etag)


@router.get(
    "/v1/fleets/{fleet_id}/boats/{boat_id}/requirement",
    response_model=response_models.Requirement,
    responses={**problems(404), **NOT_CHANGED},
    openapi_extra=taking(None, NONE_MATCH_HEADER),
)
async def get_requirement(request: Request, caller: Signed, fleet_id: FleetId, boat_id: BoatId) -> Response:
    """What the boat needs: sections, and every figure with its working."""
    caller.must("boat.read", fleet_id, boat_id)
    return _kept_text(request, caller, REQUIREMENT, fleet_id, boat_id)


@router.get(
    "/v1/fleets/{fleet_id}/boats/{boat_id}/findings",
    response_model=response_models.Page[response_models.Finding],
    responses=problems(404),
)
def boat_findings(
    caller: Signed,
    fleet_id: FleetId,
    boat_id: BoatId,
    standing: StandingWord | None = None,
    level: Literal["shall", "should"] | None = None,
    family: Family = "",
    check: CheckName = "",
    cursor: Cursor = None,
    limit: Limit = 100,
) -> Response:
    """How the boat stands on every check, filtered."""
    caller.must("boat.read", fleet_id, boat_id)
    return _findings(caller, fleet_id, boat_id, (standing, level, family, check), cursor, limit)


@router.get(
    "/v1/fleets/{fleet_id}/findings",
    response_model=response_models.Page[response_models.Finding],
    responses=problems(404),
)
def fleet_findings(
    caller: Signed,
    fleet_id: FleetId,
    standing: StandingWord | None = None,
    level: Literal["shall", "should"] | None = None,
    family: Family = "",
    check: CheckName = "",
    cursor: Cursor = None,
    limit: Limit = 100,
) -> Response:
    """Findings of the whole fleet, boat by boat, filtered."""
    caller.must("boat.read", fleet_id)
    return _findings(caller, fleet_id, None, (standing, level, family, check), cursor, limit)


@router.post(
    "/v1/fleets/{fleet_id}/boats/{boat_id}/what-if",
    response_model=response_models.WhatIfResult,
    responses=problems(404, 415),
    openapi_extra=taking(WhatIf),
)
async def what_if(request: Request, caller: Signed, fleet_id: FleetId, boat_id: BoatId) -> Response:
    """Size, strike and judge the boat as she would be. Nothing is kept."""
    caller.must("what-if", fleet_id, boat_id)
    body = await body_of(request, WhatIf)
    return JSONResponse(await run_in_threadpool(_what_if, caller, fleet_id, boat_id, body))


def _what_if(caller: Caller, fleet_id: str, boat_id: str, body: WhatIf) -> dict[str, Any]:
    server = caller.server
    with server.store.read() as connection:
        boat = the_boat(kept_boat(connection, fleet_id, boat_id))
        scrutiny = scrutiny_of(connection, fleet_id, boat_id).get(boat_id, Scrutiny())
    notation = notation_of(boat.sheet)
    changes = taken_of([(one.field, one.value) for one in body.changes], "changes", notation)
    found = scrutiny.found | {one.field: one for one in changes}
    try:
        docs = server.engine.what_if(notation, BoatCells.of(boat.cells), found, server.settings.day())
    except MeasurementError as problem:
        raise not_measurable(problem, changes, "changes") from None
    return {"boat": docs.document, "requirement": docs.requirement, "findings": docs.findings}


def _kept_text(request: Request, caller: Caller, query: Any, fleet_id: str, boat_id: str) -> Response:
    row = caller.server.store.one(query, {"fleet": fleet_id, "boat": boat_id})
    etag, *kept = the_boat(row)
    if unchanged(request, etag):
        return not_changed(etag)
    return Response(kept_text(*kept), headers={"etag": etag, **_CACHED}, media_type="application/json")


def _findings(
    caller: Caller,
    fleet_id: str,
    boat_id: str | None,
    filters: tuple[str | None, ...],
    cursor: str | None,
    limit: int,
) -> Response:
    place = (findings.c.row * FINDINGS_A_BOAT + findings.c.place).label("at")
    query = select(findings.c.boat_id, findings.c.place, place).where(findings.c.fleet_id == fleet_id)
    if boat_id is not None:
        query = query.where(findings.c.boat_id == boat_id)
    columns = (findings.c.standing, findings.c.level, findings.c.family, findings.c.check_id)
    for column, word in zip(columns, filters, strict=True):
        if word:
            query = query.where(column == word)
    after = place_of(cursor)
    if after >= 0:
        row, last = divmod(after, FINDINGS_A_BOAT)
        query = query.where(
            (findings.c.row > row) | ((findings.c.row == row) & (findings.c.place > last))
        )  # fmt: skip
    query = query.order_by(findings.c.row, findings.c.place).limit(limit + 1)
    with caller.server.store.read() as connection:
        if boat_id is not None:
            the_boat(kept_boat(connection, fleet_id, boat_id))
        etag = f'"{fleet_version(connection, fleet_id)}"'
        rows = connection.execute(query).all()
        told = kept_findings(connection, fleet_id, [(row.boat_id, row.place) for row in rows])
    return page(told, limit, [row.at for row in rows], etag)
