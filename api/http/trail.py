"""The audit trail: read, and checked."""

from __future__ import annotations

import json
from typing import Annotated, Final

from fastapi import APIRouter, Query
from sqlalchemy import select
from starlette.responses import JSONResponse, Response

from api.http import response_models
from api.http.context import FLEET_FORM, Signed
from api.http.describe import problems
from api.http.pages import Cursor, Limit, page, place_of
from api.storage.schema import trail
from api.trail import read_anchors, verify_trail

router: Final = APIRouter(tags=["trail"])
OneFleet = Annotated[
    str | None, Query(pattern=FLEET_FORM, max_length=13, description="Only records of this fleet")
]


@router.get("/v1/trail", response_model=response_models.TrailPage, responses=problems())
def get_trail(
    caller: Signed, fleet_id: OneFleet = None, cursor: Cursor = None, limit: Limit = 50
) -> Response:
    """Who did what, when, and what stood before and after; oldest first."""
    caller.must("trail.read", fleet_id)
    query = select(trail).where(trail.c.seq > place_of(cursor)).order_by(trail.c.seq).limit(limit + 1)
    if fleet_id is not None:
        query = query.where(trail.c.fleet_id == fleet_id)
    with caller.server.store.read() as connection:
        rows = connection.execute(query).mappings().all()
    items = [{**row, "before": json.loads(row["before"]), "after": json.loads(row["after"])} for row in rows]
    return page(items, limit, [row["seq"] for row in rows])


@router.get("/v1/trail/verification", response_model=response_models.TrailVerification, responses=problems())
def verification(caller: Signed) -> Response:
    """Check the whole chain, and that nothing an anchor tells of is missing."""
    caller.must("trail.read")
    server = caller.server
    with server.store.read() as connection:
        report = verify_trail(connection, read_anchors(server.settings.anchors))
    return JSONResponse(
        {
            "whole": not report.problems, "records": report.records,
            "head": f"{report.head.seq}:{report.head.hash}", "anchors": report.anchors,
            "problems": list(report.problems),
        }
    )  # fmt: skip
