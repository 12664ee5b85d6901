"""Uploads of a fleet's entry list: received whole, kept whole, read by a job, reported on."""

from __future__ import annotations

import json
import re
from typing import Annotated, Any, Final

from fastapi import APIRouter, Path, Query, Request
from sqlalchemy import Connection, Row, select
from starlette.responses import Response

from api.http.context import FleetId, Signed, idempotency_key, if_match, unchanged
from api.http.describe import KEY_HEADER, MATCH_HEADER, NONE_MATCH_HEADER, NOT_CHANGED, problems, taking
from api.http.pages import not_changed
from api.http.problems import Problem, problem_body
from api.http.response_models import Changes, RejectedRows, Revision, Revisions, Uploaded
from api.http.writing import Answer, perform
from api.season.acting import Acting
from api.season.fleets import fleet_version
from api.season.receiving import CSV, XLSX, HandedIn, receive_to_read
from api.storage.packing import unpacked
from api.storage.schema import revisions

router: Final = APIRouter(tags=["uploads"])
Number = Annotated[int, Path(ge=1, le=1_000_000)]
FileName = Annotated[
    str,
    Query(min_length=1, max_length=120, pattern=r"^[^\x00-\x1f\x7f/\\]+$", description="Name of the file"),
]
Withdraw = Annotated[bool, Query(description="Boats that the list leaves out have withdrawn, however many")]
_NOT_TOLD: Final = (
    "content", "fleet_id", "rules", "program", "day", "in_force_at", "snapshot", "ordered",
)  # fmt: skip
_MEANT: Final = [column for column in revisions.c if column.name not in _NOT_TOLD]


@router.post(
    "/v1/fleets/{fleet_id}/revisions",
    status_code=202,
    response_model=Uploaded,
    responses=problems(404, 412, 415, 428),
    openapi_extra=taking(None, KEY_HEADER, MATCH_HEADER, files=(CSV, XLSX)),
)
async def upload(
    request: Request,
    caller: Signed,
    fleet_id: FleetId,
    filename: FileName = "fleet.csv",
    withdraw: Withdraw = False,
) -> Response:
    """Upload the entry list as CSV or XLSX. A job reads it; until then the earlier one stays in force.

    A list that leaves out more than a tenth of the boats in force may be a part of the list. It is refused,
    and nothing changes: the job fails, and the upload's `problem` has the code `would-withdraw` and names the
    boats. Where they have withdrawn, upload it with `withdraw=true`.
    """
    caller.must("fleet.upload", fleet_id)
    key, match = idempotency_key(request), if_match(request)
    kind = request.headers.get("content-type", "").partition(";")[0].strip().lower()
    if kind not in (CSV, XLSX) or request.headers.get("content-encoding", "identity").lower() != "identity":
        raise Problem("wrong-content-type", f"Send {CSV} or {XLSX}, without Content-Encoding.")
    content = bytearray()
    async for part in request.stream():
        content += part
    if not content:
        raise Problem("not-valid", "The file is empty.")
    handed = HandedIn(_named(filename, kind), kind, bytes(content), withdraw)

    def write(connection: Connection) -> Uploaded:
        number, job = receive_to_read(connection, caller.token.actor, fleet_id, handed, match)
        return Uploaded(revision=number, sha256=handed.sha256, job=job)

    def keep(acting: Acting) -> Uploaded:
        handed.made_ready()
        return acting.write(write)

    return await perform(
        request, caller, key, f"{handed.sha256}\0{kind}\0{withdraw}", keep,
        lambda done: Answer.of(202, done, {"location": f"/v1/jobs/{done.job}"}),
    )  # fmt: skip


@router.get("/v1/fleets/{fleet_id}/revisions", responses=problems(404))
def list_revisions(caller: Signed, fleet_id: FleetId) -> Revisions:
    """All uploads, newest first."""
    caller.must("revision.read", fleet_id)
    with caller.server.store.read() as connection:
        fleet_version(connection, fleet_id)
        rows = connection.execute(
            select(*_MEANT).where(revisions.c.fleet_id == fleet_id).order_by(revisions.c.number.desc())
        ).all()
    return Revisions(items=[_document(row) for row in rows])


@router.get("/v1/fleets/{fleet_id}/revisions/{number}", responses=problems(404))
def get_revision(caller: Signed, fleet_id: FleetId, number: Number) -> Revision:
    """One upload and what became of it."""
    caller.must("revision.read", fleet_id)
    return _document(_revision(caller, fleet_id, number))


@router.get("/v1/fleets/{fleet_id}/revisions/{number}/rejected", responses=problems(404, 409))
def rejected_rows(caller: Signed, fleet_id: FleetId, number: Number) -> RejectedRows:
    """The rows that could not be taken, with everything wrong with each. For the officer."""
    caller.must("upload.read", fleet_id)
    report = _report(_revision(caller, fleet_id, number))
    return RejectedRows(**_counts(report), items=report["rejected"])


@router.get("/v1/fleets/{fleet_id}/revisions/{number}/changes", responses=problems(404, 409))
def changes(caller: Signed, fleet_id: FleetId, number: Number) -> Changes:
    """What the upload changed against the one in force before it."""
    caller.must("revision.read", fleet_id)
    return Changes(**_report(_revision(caller, fleet_id, number))["changes"])


@router.get(
    "/v1/fleets/{fleet_id}/revisions/{number}/file",
    response_class=Response,
    responses={
        **problems(404),
        **NOT_CHANGED,
        200: {"content": {"application/octet-stream": {"schema": {"type": "string", "format": "binary"}}}},
    },
    openapi_extra=taking(None, NONE_MATCH_HEADER),
)
def uploaded_file(request: Request, caller: Signed, fleet_id: FleetId, number: Number) -> Response:
    """The file as it was uploaded. For the officer: it holds contact details."""
    caller.must("upload.read", fleet_id)
    with caller.server.store.read() as connection:
        row = connection.execute(
            select(revisions.c.content, revisions.c.sha256, revisions.c.media_type).where(
                revisions.c.fleet_id == fleet_id, revisions.c.number == number
            )
        ).first()
    if row is None:
        raise Problem("not-found")
    etag = f'"{row.sha256[:32]}"'
    if unchanged(request, etag):
        return not_changed(etag)
    ending = "xlsx" if row.media_type == XLSX else "csv"
    headers = {
        "etag": etag,
        "content-disposition": f'attachment; filename="fleet-{number}.{ending}"',
    }
    return Response(unpacked(bytes(row.content)), headers=headers, media_type="application/octet-stream")


def _named(filename: str, kind: str) -> str:
    """The file's name, with the ending that its content type says."""
    stem = re.sub(r"\.(csv|xlsx|txt|tsv)$", "", filename.strip(), flags=re.IGNORECASE) or "fleet"
    return f"{stem}.{'xlsx' if kind == XLSX else 'csv'}"


def _revision(caller: Signed, fleet_id: str, number: int) -> Row[Any]:
    with caller.server.store.read() as connection:
        row = connection.execute(
            select(*_MEANT).where(revisions.c.fleet_id == fleet_id, revisions.c.number == number)
        ).first()
    if row is None:
        raise Problem("not-found")
    return row


def _report(row: Row[Any]) -> dict[str, Any]:
    report: dict[str, Any] = json.loads(row.report)
    if not report:
        raise Problem("conflict", f"This upload is {row.state}; it has no report.")
    return report


def _document(row: Row[Any]) -> Revision:
    columns = dict(row._mapping)
    report, told = json.loads(columns.pop("report")), columns.pop("problem")
    columns["withdraw"] = bool(columns["withdraw"])
    problem = problem_body(detail=row.reason, **json.loads(told)) if told else None
    read = {**_counts(report), "notes": report["notes"]} if report else {}
    return Revision(**columns, problem=problem, **read)


def _counts(report: dict[str, Any]) -> dict[str, int]:
    return {
        "rows_in": report["rows_in"], "accepted": report["accepted"], "rejected": report["rejected_rows"]
    }  # fmt: skip
