"""What is given about boats, as the description of the interface tells it."""

from __future__ import annotations

from pydantic import Field

from api.http.response_models import ResponseModel


class Quantity(ResponseModel):
    """A figure in SI and as shown in both systems."""

    si: float
    dimension: str
    metric: str
    us: str


class Found(ResponseModel):
    """A column as found aboard, by which inspection."""

    text: str
    inspection: str


class Measure(ResponseModel):
    """A column that can be measured: what is needed, what was entered, what was found.

    `at_most` says that `required` must not be exceeded. `value` is the figure the findings rest on.
    """

    field: str
    required: Quantity | None
    at_most: bool
    required_text: str
    required_text_us: str
    value: Quantity | None
    entered: str
    found: Found | None


class Strike(ResponseModel):
    """A simulated wave strike."""

    reason_not_computed: str
    peak: Quantity | None
    peak_time: Quantity | None
    boat_speed: Quantity | None
    distance: Quantity | None
    median: Quantity | None
    p90: Quantity | None


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
    computed: bool


class Boats(ResponseModel):
    """A page of boats in the order of the file; `next` is the cursor of the page after it."""

    items: list[BoatLine]
    next: str | None


class BoatBody(ResponseModel):
    """What the program finds for a boat."""

    entry_no: str
    boat_name: str
    sail_no: str
    berth: str
    boat_type: str
    design: str
    computed: bool
    reason_not_computed: str
    published_range: str
    open_shalls: int
    open_shoulds: int
    figures: dict[str, float]
    measures: list[Measure]
    strike: Strike | None
    strike_aboard: Strike | None
    remarks: list[str]
    warnings: list[str]


class Boat(BoatBody):
    """A boat with her latest result."""

    id: str
    fleet_id: str
    version: int


class RopeSection(ResponseModel):
    """The lead line or one section of the cone line."""

    name: str
    rope: str
    diameter: Quantity | None
    cones: int
    length: Quantity | None
    cut_length: Quantity | None
    head_tension: Quantity | None
    strength: Quantity | None


class WorkingInput(ResponseModel):
    """One input of a figure."""

    name: str
    value: Quantity | None


class Working(ResponseModel):
    """How one figure was worked out."""

    id: str
    title: str
    value: Quantity | None
    formula: str
    inputs: list[WorkingInput]
    source: str
    range_mark: str


class RequirementBody(ResponseModel):
    """What a boat needs, each figure with its working."""

    reason_not_computed: str
    sections: list[RopeSection]
    workings: list[Working]


class Requirement(RequirementBody):
    """What a boat needs, with her version."""

    id: str
    fleet_id: str
    version: int


class FindingBody(ResponseModel):
    """One check on one boat."""

    id: str
    entry_no: str
    boat_name: str
    check: str
    family: str
    level: str
    standing: str
    sentence: str
    rule: str
    source: str
    consequence: str
    required: Quantity | None
    found: Quantity | None
    margin_percent: float | None
    note: str
    remedy: str


class Finding(FindingBody):
    """One check on one boat, with her id."""

    boat_id: str


class Findings(ResponseModel):
    """A page of findings, boat by boat."""

    items: list[Finding]
    next: str | None


class WhatIfResult(ResponseModel):
    """What would follow."""

    boat: BoatBody
    requirement: RequirementBody
    findings: list[FindingBody]


class MeasurableField(ResponseModel):
    """A column that can be measured, and how it is written."""

    field: str
    label: str
    group: str
    kind: str
    dimension: str
    guidance: str
    choices: list[str]


class Fields(ResponseModel):
    """All columns that can be measured."""

    items: list[MeasurableField]


class MeasurementShown(ResponseModel):
    """One column as found aboard."""

    field: str
    text: str
    si: float | None


class Inspection(ResponseModel):
    """What was seen aboard. A withdrawn one stays to be read and does not count.

    `made_at` is the server's own time, when it arrived. Which measurement of a column counts follows from the
    order of `number`, whatever a phone's clock says.
    """

    id: str
    fleet_id: str
    boat_id: str
    number: int
    state: str
    measured: list[MeasurementShown]
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


class Inspections(ResponseModel):
    """A page of inspections, oldest first."""

    items: list[Inspection]
    next: str | None


class Inspected(ResponseModel):
    """An inspection as received, and how the boat stands with it."""

    inspection: Inspection
    boat_etag: str
    open_shalls: int
    open_shoulds: int
    site_job: str


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


class Waivers(ResponseModel):
    """A page of waivers, oldest first."""

    items: list[Waiver]
    next: str | None


class Waived(ResponseModel):
    """A waiver as received, and how the boat stands with it."""

    waiver: Waiver
    boat_etag: str
    open_shalls: int
    open_shoulds: int
    site_job: str
