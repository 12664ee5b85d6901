"""The order of a fleet, its files and the loft's papers, as the last site job made them."""

from __future__ import annotations

import hashlib
import json
import pathlib
from typing import Annotated, Final

from fastapi import APIRouter, Path, Request
from sqlalchemy import select
from starlette.responses import Response

from api.http.content_types import kind_of
from api.http.context import Caller, FleetId, Signed, unchanged
from api.http.describe import NONE_MATCH_HEADER, NOT_CHANGED, problems, taking
from api.http.pages import not_changed
from api.http.problems import Problem
from api.http.response_models import OrderFile, OrderFiles
from api.season.fleets import fleet_version
from api.storage.schema import fleets, published
from api.trail import head_of

router: Final = APIRouter(tags=["order"])
FileName = Annotated[
    str, Path(pattern=r"^[A-Za-z][A-Za-z0-9.-]{0,74}\.(csv|dxf|json|pdf|svg|txt|xlsx)$", max_length=80)
]
_ENDINGS: Final = ("csv", "dxf", "json", "pdf", "svg", "txt", "xlsx")
_MADE: Final = select(published.c.order_files, published.c.published_at, fleets.c.folder).join(
    fleets, fleets.c.id == published.c.fleet_id
)


@router.get(
    "/v1/fleets/{fleet_id}/order",
    responses={**problems(404), **NOT_CHANGED},
    openapi_extra=taking(None, NONE_MATCH_HEADER),
)
def get_order(request: Request, caller: Signed, fleet_id: FleetId) -> Response:
    """The whole order: lines, cuts, pieces and problems."""
    return _file(request, caller, fleet_id, "order.json", attached=False)


@router.get("/v1/fleets/{fleet_id}/order/files", responses=problems(404))
def list_files(caller: Signed, fleet_id: FleetId) -> OrderFiles:
    """The files of the order and the papers of the loft: none before the first site job has ended."""
    caller.must("order.read", fleet_id)
    with caller.server.store.read() as connection:
        fleet_version(connection, fleet_id)
        made = connection.execute(_MADE.where(published.c.fleet_id == fleet_id)).first()
    if made is None:
        return OrderFiles(items=[])
    sizes = {path.name: path.stat().st_size for path in _paths(caller, made.folder)}
    return OrderFiles(
        items=[
            OrderFile(name=name, sha256=digest, made_at=made.published_at, size=sizes[name])
            for name, digest in sorted(json.loads(made.order_files).items())
            if name in sizes
        ]
    )


@router.get(
    "/v1/fleets/{fleet_id}/order/files/{name}",
    response_class=Response,
    responses={
        **problems(404),
        **NOT_CHANGED,
        200: {"content": {kind_of(f"x.{one}").partition(";")[0]: {"schema": {}} for one in _ENDINGS}},
    },
    openapi_extra=taking(None, NONE_MATCH_HEADER),
)
def get_file(request: Request, caller: Signed, fleet_id: FleetId, name: FileName) -> Response:
    """One file of the order, to be kept. `Trail-Head` anchors the audit trail."""
    return _file(request, caller, fleet_id, name, attached=True)


def _file(request: Request, caller: Caller, fleet_id: str, name: str, *, attached: bool) -> Response:
    caller.must("order.read", fleet_id)
    with caller.server.store.read() as connection:
        fleet_version(connection, fleet_id)
        made = connection.execute(_MADE.where(published.c.fleet_id == fleet_id)).first()
        head = head_of(connection)
    digest = json.loads(made.order_files).get(name) if made else None
    path = next((path for path in _paths(caller, made.folder) if path.name == name), None) if made else None
    if digest is None or path is None:
        raise Problem("not-found", "The order has no such file, or was not made yet.")
    content = path.read_bytes()
    if hashlib.sha256(content).hexdigest() != digest:
        raise Problem(
            "not-ready", "The order is just being made anew. Ask again.", headers={"retry-after": "1"}
        )
    etag = f'"{digest[:32]}"'
    if unchanged(request, etag):
        return not_changed(etag)
    headers = {"etag": etag, "trail-head": f"{head.seq}:{head.hash}"}
    if attached:
        headers["content-disposition"] = f'attachment; filename="{name}"'
    return Response(content, headers=headers, media_type=kind_of(name))


def _paths(caller: Caller, folder: str) -> list[pathlib.Path]:
    """The files of the order and the papers, as they lie in the output folder."""
    order = caller.server.settings.folder / folder / "order"
    return [path for path in order.rglob("*") if path.is_file()]
