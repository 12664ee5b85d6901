"""Fleets: listed, made, looked at. And who the caller is."""

from __future__ import annotations

from typing import Final

from fastapi import APIRouter, Request
from sqlalchemy import Connection, case, func, select
from starlette.responses import Response

from api.http.context import FleetId, Signed, body_of, idempotency_key, unchanged
from api.http.describe import KEY_HEADER, NONE_MATCH_HEADER, NOT_CHANGED, problems, taking
from api.http.models import NewFleet
from api.http.pages import not_changed
from api.http.problems import Problem
from api.http.response_models import Fleet, Fleets, Me, given
from api.http.writing import Answer, perform
from api.season import fleets as season
from api.storage.schema import fleets, results
from sizing.audit import STAGE_OF, stage_counts

router: Final = APIRouter(tags=["fleets"])
_TOLD: Final = [column for column in fleets.c if column.name != "folder"]


@router.get("/v1/me", responses=problems())
async def me(caller: Signed) -> Me:
    """Who the token is for."""
    token = caller.token
    return Me(**{name: getattr(token, name) for name in Me.model_fields})


@router.get("/v1/fleets", responses=problems())
def list_fleets(caller: Signed) -> Fleets:
    """All fleets within reach of the token, oldest first."""
    caller.must("fleet.read", caller.token.fleet_id)
    with caller.server.store.read() as connection:
        return Fleets(items=fleets_within_reach(connection, caller.token.fleet_id))


@router.post(
    "/v1/fleets",
    status_code=201,
    response_model=Fleet,
    responses=problems(415, 428),
    openapi_extra=taking(NewFleet, KEY_HEADER),
)
async def make_fleet(request: Request, caller: Signed) -> Response:
    """Make a fleet; her entry list is uploaded next."""
    caller.must("fleet.create")
    key = idempotency_key(request)
    body = await body_of(request, NewFleet)

    def write(connection: Connection) -> Fleet:
        fleet_id = season.make_fleet(connection, caller.token.actor, body.name)
        return fleets_within_reach(connection, fleet_id)[0]

    def told(made: Fleet) -> Answer:
        return Answer.of(201, made, {"location": f"/v1/fleets/{made.id}", "etag": '"0"'})

    return await perform(
        request, caller, key, body.model_dump_json(), lambda acting: acting.write(write), told
    )


@router.get(
    "/v1/fleets/{fleet_id}",
    response_model=Fleet,
    responses={**problems(404), **NOT_CHANGED},
    openapi_extra=taking(None, NONE_MATCH_HEADER),
)
def get_fleet(request: Request, caller: Signed, fleet_id: FleetId) -> Response:
    """One fleet. Her ETag changes with every upload, inspection and waiver."""
    caller.must("fleet.read", fleet_id)
    with caller.server.store.read() as connection:
        found = fleets_within_reach(connection, fleet_id)
    if not found:
        raise Problem("not-found")
    etag = f'"{found[0].version}"'
    return not_changed(etag) if unchanged(request, etag) else given(found[0], etag)


def fleets_within_reach(connection: Connection, fleet_id: str | None) -> list[Fleet]:
    """The one fleet, or all."""
    query = (
        select(
            *_TOLD,
            func.count(results.c.boat_id).label("boats"),
            func.coalesce(func.sum(case((results.c.open_shalls > 0, 1), else_=0)), 0).label(
                "boats_with_open_shalls"
            ),
        )
        .outerjoin(results, results.c.fleet_id == fleets.c.id)
        .group_by(*_TOLD)
        .order_by(fleets.c.created_at, fleets.c.id)
    )
    if fleet_id is not None:
        query = query.where(fleets.c.id == fleet_id)
    found = connection.execute(query).mappings().all()
    per_stage = select(results.c.fleet_id, results.c.stage, func.count()).group_by(
        results.c.fleet_id, results.c.stage
    )
    stages: dict[str, dict[str, int]] = {row["id"]: stage_counts(()) for row in found}
    for fleet, stage, boats in connection.execute(per_stage):
        if fleet in stages:
            stages[fleet][STAGE_OF[stage].words] = boats
    return [Fleet(**row, stages=stages[row["id"]]) for row in found]
