"""What the interface says of a boat, made from the engine's objects.

Contact details are taken out here, once, as on the site.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType
from typing import Any, Final, TypeVar, cast

from api.judging.answered import Answer
from api.judging.document_kinds import (
    AnsweredDocument,
    BoatDocument,
    BoundsDocument,
    Document,
    FieldDocument,
    FindingDocument,
    FoundDocument,
    InputDocument,
    MeasureDocument,
    NeededDocument,
    QuantityDocument,
    RequirementDocument,
    SectionDocument,
    StrikeDocument,
    WorkingDocument,
)
from api.judging.measured import Measured
from api.judging.sheet import BoatCells
from sitegen.boat_facts import redacted
from sitegen.boat_loads import strike_of
from sizing.audit import OverallColumns, StageKey, findings_of, needed_of, needed_words, sentence
from sizing.drogue.working import requirement_of
from sizing.field_kinds import Field
from sizing.fields import MEASURABLE
from sizing.model import HULL_MARKS, RANGE_MARKS, Entry, Finding, Requirement, Section, StrikeColumns, Working
from sizing.redaction import redact
from sizing.story import Judged, RallyRules
from sizing.units import Shown, show, unit_factor

Kind = TypeVar("Kind", bound="Document")
NOTHING_ANSWERED: Final[Mapping[str, Answer]] = MappingProxyType({})


@dataclass(frozen=True)
class BoatDocuments:
    """What is kept of one boat's result."""

    document: BoatDocument
    requirement: RequirementDocument
    findings: list[FindingDocument]

    @property
    def open_shalls(self) -> int:
        """How many shalls are open."""
        return self.document["open_shalls"]

    @property
    def open_shoulds(self) -> int:
        """How many shoulds are open."""
        return self.document["open_shoulds"]


def boat_documents(
    judged: Judged,
    whole: OverallColumns,
    rules: RallyRules,
    row: int,
    boat: BoatCells,
    found: Mapping[str, Measured],
    stage: StageKey,
    answered: Mapping[str, Answer] = NOTHING_ANSWERED,
) -> BoatDocuments:
    """Everything the interface says about boat `row` of what was judged.

    `whole` is how the boats stand as a whole, `boat` her cells as the sheet had them, `found` the measurement
    in force of each column, `answered` what she is judged by of her skipper's answers, `stage` how far she
    has come.
    """
    fleet = judged.context.fleet
    entry = redacted(fleet.entry(row), boat.private)
    need = requirement_of(fleet, judged.requirements, rules.policy, rules.catalogue, row)
    findings = findings_of(judged.checks, fleet, row)
    document = _told(
        BoatDocument, entry, need,
        computed=not need.reason_not_computed,
        published_range="unknown" if need.reason_not_computed else RANGE_MARKS[need.range_mark],
        source_hull="unknown" if need.reason_not_computed else HULL_MARKS[need.hull_mark],
        stage=stage,
        open_shalls=int(whole.open_shalls[row]),
        open_shoulds=int(whole.open_shoulds[row]),
        met=int(whole.met[row]),
        met_on_word=int(whole.on_word[row]),
        measures=_measures(judged, row, findings, boat, found, answered),
        strike=_strike(judged.strike, row),
        strike_aboard=_strike(judged.context.strike_aboard, row),
    )  # fmt: skip
    return BoatDocuments(document, _requirement(need), [_finding(one, entry) for one in findings])


def quantity(value: float | None, dimension: str) -> QuantityDocument | None:
    """A figure in SI and as shown in both systems; None where there is none."""
    if value is None or not math.isfinite(value):
        return None
    shown = _shown(value, dimension)
    return QuantityDocument(si=value, dimension=dimension, metric=shown.metric, us=shown.us)


def field_documents() -> list[FieldDocument]:
    """What can be measured, and how it is written."""
    return [
        _told(
            FieldDocument, field, field=name, guidance=field.expected, choices=field.words,
            pattern=field.grammar, metric=bounds_of(field, 0), us=bounds_of(field, 1),
        )
        for name, field in MEASURABLE.items()
    ]  # fmt: skip


def _told(kind: type[Kind], *sources: object, **own: Any) -> Kind:
    """A document of `kind`: what is not given is the attribute of its name of the first source with one."""
    key = (kind, *map(type, sources), *own)
    places = _PLACES.get(key)
    if places is None:
        places = _PLACES[key] = _places(kind, sources, own)
    members = {name: own[name] if at < 0 else getattr(sources[at], name) for name, at in places}
    return cast("Kind", members)


_PLACES: Final[dict[tuple[object, ...], tuple[tuple[str, int], ...]]] = {}
"""Of each kind of document from each kind of sources: which source has a member, -1 where it is given."""


def _places(
    kind: type[Document], sources: Sequence[object], own: Mapping[str, Any]
) -> tuple[tuple[str, int], ...]:
    found = []
    for name in kind.__annotations__:
        having = (at for at, one in enumerate(sources) if hasattr(one, name))
        at = -1 if name in own else next(having, None)
        if at is None:
            raise AttributeError(f"{kind.__name__}.{name} is of no source")
        found.append((name, at))
    return tuple(found)


@lru_cache(maxsize=16_384)
def _shown(value: float, dimension: str) -> Shown:
    """As `show`; most figures of a boat are the same when she is judged again."""
    return show(value, dimension)


def bounds_of(field: Field, system: int) -> BoundsDocument | None:
    """The unit in which a column is usually entered, in metric (0) or US units (1), and what is possible."""
    if field.limits is None:
        return None
    unit = field.units[system] if field.units else ""
    factor = unit_factor(unit, field.dimension) if field.dimension else 1.0
    least, most = (float(f"{limit / factor:.6g}") for limit in field.limits)
    return {"unit": unit, "least": least, "most": most}


def _finding(finding: Finding, entry: Entry) -> FindingDocument:
    check = finding.check
    return _told(
        FindingDocument, finding, check, entry,
        check=check.id,
        standing=finding.standing.words,
        required=quantity(finding.required, check.dimension),
        found=quantity(finding.found, check.dimension),
        advised=quantity(finding.advised, check.dimension),
        advised_standing="" if finding.advised is None else finding.advised_standing.words,
        sentence=sentence(finding, "her"),
        remedy=finding.advice,
    )  # fmt: skip


def _requirement(need: Requirement) -> RequirementDocument:
    return _told(
        RequirementDocument, need,
        sections=[_section(section) for section in need.sections],
        workings=[_working(working) for working in need.workings],
    )  # fmt: skip


def _section(section: Section) -> SectionDocument:
    return _told(
        SectionDocument, section,
        diameter=quantity(section.diameter_m, "small_length"),
        length=quantity(section.length_m, "length"),
        cut_length=quantity(section.cut_length_m, "length"),
        head_tension=quantity(section.head_tension_n, "force"),
        strength=quantity(section.strength_n, "force"),
    )  # fmt: skip


def _working(working: Working) -> WorkingDocument:
    return _told(
        WorkingDocument, working,
        value=quantity(working.value, working.dimension),
        inputs=[
            InputDocument(name=name, value=quantity(value, dimension))
            for name, value, dimension in working.inputs
        ],
    )  # fmt: skip


def _measures(
    judged: Judged,
    row: int,
    findings: Sequence[Finding],
    boat: BoatCells,
    found: Mapping[str, Measured],
    answered: Mapping[str, Answer],
) -> list[MeasureDocument]:
    needed = needed_of(findings)
    open_levels: dict[str, str] = {}
    for finding in findings:
        if finding.is_open:
            for column in finding.check.columns:
                level = open_levels.get(column, finding.check.level)
                open_levels[column] = min(level, finding.check.level)  # shall stands before should
    fleet = judged.context.fleet
    return [
        MeasureDocument(
            field=name,
            needed=[_needed(finding) for finding in needed.get(name, ())],
            open_level=open_levels.get(name, ""),
            value=quantity(fleet.value(field.si_name, row), field.dimension or "")
            if field.kind == "quantity"
            else None,
            entered=redact(boat.cells.get(name, ""), boat.private),
            found=_told(FoundDocument, found[name]) if name in found else None,
            answered=_told(AnsweredDocument, answered[name]) if name in answered else None,
        )
        for name, field in MEASURABLE.items()
    ]


def _needed(finding: Finding) -> NeededDocument:
    return _told(NeededDocument, needed_words(finding), finding, finding.check, check=finding.check.id)


def _strike(columns: StrikeColumns | None, row: int) -> StrikeDocument | None:
    strike = strike_of(columns, row)
    if strike is None:
        return None
    return _told(
        StrikeDocument, strike,
        peak=quantity(strike.peak_n, "force"),
        peak_time=quantity(strike.peak_time_s, "time"),
        boat_speed=quantity(strike.boat_speed_mps, "speed"),
        distance=quantity(strike.distance_m, "length"),
        median=quantity(strike.median_n, "force"),
        p90=quantity(strike.p90_n, "force"),
    )  # fmt: skip
