"""What the documents of the interface hold: each declared once.

The description of the interface is made from these declarations.
"""

from __future__ import annotations

from collections.abc import Mapping

from pydantic import ConfigDict
from typing_extensions import TypedDict  # pydantic asks for this one below Python 3.12

from sizing.audit import StageKey


class Document(TypedDict):
    """Base of everything that is said of a boat: no member but those declared."""


Document.__pydantic_config__ = ConfigDict(extra="forbid")  # type: ignore[attr-defined]


class QuantityDocument(Document):
    """A figure in SI and as shown in both systems."""

    si: float
    dimension: str
    metric: str
    us: str


class NeededDocument(Document):
    """What a column has to be (with `at_most`, may be at most), and the check that says so.

    Several figures where the column holds several.
    """

    check: str
    level: str
    at_most: bool
    metric: str
    us: str


class FoundDocument(Document):
    """A column as found aboard, by which inspection."""

    text: str
    inspection: str


class AnsweredDocument(Document):
    """A column as her skipper answered it, and on which day; her word, where nobody measured it."""

    text: str
    day: str


class MeasureDocument(Document):
    """A column that can be measured: what is needed, what was entered, answered, and found.

    `needed` are the strictest of the findings about it, shalls first; `open_level` is the level of those that
    are open, blank where none is. `value` is the figure the findings rest on.
    """

    field: str
    needed: list[NeededDocument]
    open_level: str
    value: QuantityDocument | None
    entered: str
    found: FoundDocument | None
    answered: AnsweredDocument | None


class StrikeDocument(Document):
    """A simulated wave strike."""

    reason_not_computed: str
    peak: QuantityDocument | None
    peak_time: QuantityDocument | None
    boat_speed: QuantityDocument | None
    distance: QuantityDocument | None
    median: QuantityDocument | None
    p90: QuantityDocument | None


class BoatDocument(Document):
    """What the program finds for a boat. `stage` is how far she has come."""

    entry_no: str
    boat_name: str
    sail_no: str
    berth: str
    boat_type: str
    design: str
    computed: bool
    reason_not_computed: str
    published_range: str
    source_hull: str
    stage: StageKey
    open_shalls: int
    open_shoulds: int
    met: int
    met_on_word: int
    figures: Mapping[str, float]
    measures: list[MeasureDocument]
    strike: StrikeDocument | None
    strike_aboard: StrikeDocument | None
    remarks: tuple[str, ...]
    warnings: tuple[str, ...]


class SectionDocument(Document):
    """The lead line or one section of the cone line."""

    name: str
    rope_id: str
    diameter: QuantityDocument | None
    cones: int
    length: QuantityDocument | None
    cut_length: QuantityDocument | None
    head_tension: QuantityDocument | None
    strength: QuantityDocument | None


class InputDocument(Document):
    """One input of a figure."""

    name: str
    value: QuantityDocument | None


class WorkingDocument(Document):
    """How one figure was worked out."""

    id: str
    title: str
    value: QuantityDocument | None
    formula: str
    inputs: list[InputDocument]
    source: str
    range_mark: str


class RequirementDocument(Document):
    """What a boat needs, each figure with its working."""

    reason_not_computed: str
    sections: list[SectionDocument]
    workings: list[WorkingDocument]


class FindingDocument(Document):
    """One check on one boat; `at_most`: `required` may not be exceeded. `columns` are measured for it.

    `advised` is a further limit beside the one required, blank in `advised_standing` where there is none.
    """

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
    columns: tuple[str, ...]
    required: QuantityDocument | None
    found: QuantityDocument | None
    at_most: bool
    advised: QuantityDocument | None
    advised_standing: str
    margin_percent: float | None
    note: str
    remedy: str


class BoundsDocument(Document):
    """The unit a column is usually entered in, blank for a count, and what is possible in it."""

    unit: str
    least: float
    most: float


class FieldDocument(Document):
    """A column that can be measured, and how it is written: words to choose from, or a pattern (ECMA-262)."""

    field: str
    label: str
    group: str
    kind: str
    guidance: str
    choices: tuple[str, ...]
    pattern: str
    metric: BoundsDocument | None
    us: BoundsDocument | None
