"""What is given about boats, as the description of the interface tells it; what is said of one boat alone is
declared with her documents."""

from __future__ import annotations

from typing import Generic, TypeVar

from pydantic import Field

from api.http.response_models import ResponseModel
from api.judging.document_kinds import (
    BoatDocument,
    Document,
    FieldDocument,
    FindingDocument,
    RequirementDocument,
)
from api.judging.form import FormDocument
from sizing.audit import StageKey

Item = TypeVar("Item")


class Page(ResponseModel, Generic[Item]):
    """A part of a list; `next` is the cursor of the part after it."""

    items: list[Item]
    next: str | None


class BoatLine(ResponseModel):
    """A boat in a list."""

    id: str
    entry_no: str
    boat_name: str
    sail_no: str
    berth: str
    version: int
    open_shalls: int
    open_shoulds: int
    stage: StageKey
    computed: bool


class Kept(Document):
    """Whose a document is, and of which version of hers."""

    id: str
    fleet_id: str
    version: int


class Boat(Kept, BoatDocument):
    """A boat with her latest result."""


class Requirement(Kept, RequirementDocument):
    """What a boat needs, each figure with its working."""


class Finding(FindingDocument):
    """One check on one boat, with her id."""

    boat_id: str


class WhatIfResult(ResponseModel):
    """What would follow."""

    boat: BoatDocument
    requirement: RequirementDocument
    findings: list[FindingDocument]


class Fields(ResponseModel):
    """All columns that can be measured."""

    items: list[FieldDocument]


class MeasurementShown(ResponseModel):
    """One column as found aboard."""

    field: str
    text: str
    si: float | None


class ListedNow(ResponseModel):
    """A column that a sign-off covered: what the list said then, and says now."""

    field: str
    listed: str
    now: str


class Inspection(ResponseModel):
    """What was seen aboard. A withdrawn one stays to be read and does not count.

    `state` is recorded, signed off, withdrawn, or reopened: it was signed off, and a later list changed what
    the entry says of a column it covers, as `changed` tells. It still counts, and may be signed off again.

    `made_at` is the server's own time, when it arrived. Which measurement of a column counts follows from the
    order of `number`, whatever a phone's clock says.
    """

    id: str
    fleet_id: str
    boat_id: str
    number: int
    state: str
    measured: list[MeasurementShown]
    changed: list[ListedNow]
    photo: str
    note: str
    made_at: str
    observed_at_phone_clock: str | None = Field(
        description="When it was seen, by the clock of the phone, in UTC; null where the phone told none. "
        "Nobody checked that clock."
    )
    made_by: str
    signed_at: str | None
    signed_by: str | None
    withdrawn_at: str | None
    withdrawn_by: str | None
    reason: str


class Standing(ResponseModel):
    """How a boat stands after something was recorded about her, and the job that brings the site after."""

    boat_etag: str
    open_shalls: int
    open_shoulds: int
    site_job: str


class Inspected(Standing):
    """An inspection as received, and how the boat stands with it."""

    inspection: Inspection


class Waiver(ResponseModel):
    """A finding set aside."""

    id: str
    fleet_id: str
    boat_id: str
    entry_no: str
    number: int
    check: str
    reason: str
    officer: str
    until: str
    state: str
    made_at: str
    made_by: str
    withdrawn_at: str | None
    withdrawn_by: str | None


class SupplySaid(ResponseModel):
    """What was said of how a boat gets her parts; of several about one boat the last counts."""

    fleet_id: str
    number: int
    boat_id: str
    entry_no: str
    supply: str
    day: str
    by: str
    source: str
    price: str
    currency: str
    made_at: str
    made_by: str


class AnswersSaved(ResponseModel):
    """What was kept: the number of the answer that stands for each column sent, and the boat's version.

    `site_job` is blank where nothing was new.
    """

    numbers: dict[str, int]
    boat_etag: str
    site_job: str


class AnswerGiven(ResponseModel):
    """One answer of a skipper, of one column; of several about a column the last counts.

    `doubt` says why the boat is not judged by it, blank where she is, or where nothing was said.
    """

    number: int
    boat_id: str
    entry_no: str
    field: str
    state: str
    text: str
    until: str
    listed: str
    said_by: str
    source: str
    made_at: str
    made_by: str
    doubt: str


class Form(ResponseModel):
    """What a boat's skipper is asked, and her price: what she owes or would pay through the rally now.

    `price` is blank where it is not known; `price_whole` says whether all of it has a price.
    """

    form: FormDocument
    price: str
    price_whole: bool
    currency: str


class LinkMade(ResponseModel):
    """A link for a boat's skipper. `path` carries its secret, told once: a repeated answer has none."""

    boat_id: str
    entry_no: str
    token_id: str
    expires_at: str
    path: str


class LinksEnded(ResponseModel):
    """The links that ended."""

    token_ids: list[str]


class Payment(ResponseModel):
    """What a boat paid towards her parts, or what went back to her."""

    fleet_id: str
    number: int
    boat_id: str
    entry_no: str
    boat_name: str
    kind: str
    amount: str
    currency: str
    day: str
    by: str
    reference: str
    made_at: str
    made_by: str


class Waived(Standing):
    """A waiver as received, and how the boat stands with it."""

    waiver: Waiver
