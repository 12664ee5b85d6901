"""What is given, as the description of the interface tells it."""

from __future__ import annotations

from typing import Any

from pydantic import BaseModel, ConfigDict, Field
from starlette.responses import Response

from api.season.acts import ACTS


class ResponseModel(BaseModel):
    """Base of everything a client is given."""

    model_config = ConfigDict(extra="forbid")


def given(model: ResponseModel, etag: str) -> Response:
    """The answer that gives it, with its version."""
    return Response(model.model_dump_json(), headers={"etag": etag}, media_type="application/json")


class FieldProblem(ResponseModel):
    """One thing wrong: where, a stable code, and what is expected."""

    field: str
    code: str
    expected: str
    mend: str = ""


class ProblemDocument(ResponseModel):
    """An error, in the shape of RFC 9457."""

    type: str
    title: str
    status: int
    code: str
    detail: str
    errors: list[FieldProblem] = []


class Health(ResponseModel):
    """Whether the program runs, or is ready to work."""

    status: str


class Me(ResponseModel):
    """Who a token is for."""

    label: str
    role: str
    fleet_id: str | None
    boat_id: str | None
    expires_at: str


class Fleet(ResponseModel):
    """A fleet. `revision` is the upload in force; `stages` counts her boats, each in one stage."""

    id: str
    name: str
    version: int
    revision: int | None
    created_at: str
    boats: int
    boats_with_open_shalls: int
    stages: dict[str, int]


class Fleets(ResponseModel):
    """All fleets within reach of the token."""

    items: list[Fleet]


class Revision(ResponseModel):
    """An upload and what became of it. `problem` is what was wrong with a list that was refused."""

    number: int
    filename: str
    media_type: str
    sha256: str
    size: int
    state: str
    reason: str
    uploaded_at: str
    uploaded_by: str
    withdraw: bool
    problem: ProblemDocument | None
    rows_in: int | None = None
    accepted: int | None = None
    rejected: int | None = None
    notes: list[str] = []


class Revisions(ResponseModel):
    """All uploads of a fleet, newest first."""

    items: list[Revision]


class Uploaded(ResponseModel):
    """An upload as received, and the job that reads it."""

    revision: int
    sha256: str
    job: str


class RowProblem(ResponseModel):
    """One thing wrong with one row."""

    column: str
    column_letter: str
    code: str
    found: str
    expected: str
    mend: str


class RejectedRow(ResponseModel):
    """A row that could not be taken."""

    row_no: int
    line_no: int
    errors: list[RowProblem]


class RejectedRows(ResponseModel):
    """All rows of an upload that could not be taken."""

    rows_in: int
    accepted: int
    rejected: int
    items: list[RejectedRow]


class NamedBoat(ResponseModel):
    """A boat by name."""

    boat_id: str
    entry_no: str
    boat_name: str


class CellChange(ResponseModel):
    """A cell that is not as it was."""

    boat_id: str
    entry_no: str
    field: str
    before: str
    after: str


class ShallChange(ResponseModel):
    """A boat of which more, or less, that is required is still to do than before."""

    boat_id: str
    entry_no: str
    before: int
    after: int


class Changes(ResponseModel):
    """What an upload changed against the one before."""

    added: list[NamedBoat]
    removed: list[NamedBoat]
    cells: list[CellChange]
    cells_changed: int
    open_shalls: list[ShallChange]


class Job(ResponseModel):
    """How far a job is, or how it ended."""

    id: str
    fleet_id: str
    kind: str
    revision: int | None
    state: str
    stage: str
    done: int
    total: int
    attempts: int
    reason: str
    asked_by: str
    created_at: str
    finished_at: str | None


class OrderFile(ResponseModel):
    """One file of the order."""

    name: str
    sha256: str
    made_at: str
    size: int


class OrderFiles(ResponseModel):
    """The files of the order."""

    items: list[OrderFile]


class TrailRecord(ResponseModel):
    """One record of the audit trail."""

    seq: int
    at: str
    who: str
    role: str
    action: str = Field(
        description="What was done: "
        + "; ".join(f"`{act.name}`, {act.words} (subject: {act.subject})" for act in ACTS.values()),
        examples=list(ACTS),
    )
    said: str = Field(description="The same in words")
    fleet_id: str
    subject: str
    before: Any
    after: Any
    previous: str
    hash: str


class TrailPage(ResponseModel):
    """A page of the audit trail, oldest first."""

    items: list[TrailRecord]
    next: str | None


class TrailVerification(ResponseModel):
    """What the check of the whole trail found."""

    whole: bool
    records: int
    head: str
    anchors: int
    problems: list[str] = Field(description="Empty where the trail is whole")
