"""The audit trail: read, and checked."""

from __future__ import annotations

import json
from typing import Annotated, Final

from fastapi import APIRouter, Query
from sqlalchemy import select

from api.http.context import FLEET_FORM, Signed
from api.http.describe import problems
from api.http.pages import Cursor, Limit, following, place_of
from api.http.response_models import TrailPage, TrailRecord, TrailVerification
from api.season.acts import words_of
from api.storage.schema import trail
from api.trail import read_anchors, verify_trail

router: Final = APIRouter(tags=["trail"])
OneFleet = Annotated[
    str | None, Query(pattern=FLEET_FORM, max_length=13, description="Only records of this fleet")
]


@router.get("/v1/trail", responses=problems())
def get_trail(
    caller: Signed, fleet_id: OneFleet = None, cursor: Cursor = None, limit: Limit = 50
) -> TrailPage:
    """Who did what, when, and what stood before and after; oldest first."""
    caller.must("trail.read", fleet_id)
    query = select(trail).where(trail.c.seq > place_of(cursor)).order_by(trail.c.seq).limit(limit + 1)
    if fleet_id is not None:
        query = query.where(trail.c.fleet_id == fleet_id)
    with caller.server.store.read() as connection:
        rows = connection.execute(query).mappings().all()
    items = [
        TrailRecord(
            **dict(row)
            | {"before": json.loads(row["before"]), "after": json.loads(row["after"])}
            | {"said": words_of(row["action"])}
        )
        for row in rows
    ]
    return TrailPage(items=items[:limit], next=following(limit, [one.seq for one in items]))


@router.get("/v1/trail/verification", responses=problems())
def verification(caller: Signed) -> TrailVerification:
    """Check the whole chain, and that nothing an anchor tells of is missing."""
    caller.must("trail.read")
    server = caller.server
    with server.store.read() as connection:
        report = verify_trail(connection, read_anchors(server.settings.anchors))
    return TrailVerification(
        whole=not report.problems, records=report.records, head=f"{report.head.seq}:{report.head.hash}",
        anchors=report.anchors, problems=list(report.problems),
    )  # fmt: skip
