"""Results as JSON-ready dictionaries. Contact details are taken out here, once, as on the site."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, Final

from api.judging.measured import Measured
from api.judging.sheet import BoatCells
from sitegen.boat_facts import redacted, strike_of
from sitegen.redaction import redact
from sizing.audit import findings_of
from sizing.drogue.working import requirement_of
from sizing.fields import MEASURABLE
from sizing.model import OPEN_STANDINGS, Entry, Finding, Requirement, StrikeColumns
from sizing.story import Judged, RallyRules
from sizing.units import Shown, show

POSITIONS: Final = frozenset({"lead_rope", "bridle_rope", "shackle", "thimble", "cloth", "range_mark"})
RANGES: Final = {-1: "below", 0: "inside", 1: "above"}

# Which check tells what a measured column has to reach.
REQUIRED_BY: Final[Mapping[str, str]] = {
    "lead_line_length": "line.lead-length",
    "bridle_leg_length": "bridle.leg-length",
    "end_weight": "end-weight.mass",
    "attachment_rating": "attachment.load",
    "shackle_rating": "hardware.shackles",
    "swivel_rating": "hardware.swivel",
    "cone_pitch": "drag.pitch",
    "bridle_leg_difference": "bridle.symmetry",
}


@dataclass(frozen=True)
class BoatDocuments:
    """What is kept of one boat's result."""

    document: dict[str, Any]
    requirement: dict[str, Any]
    findings: list[dict[str, Any]]
    open_shalls: int
    open_shoulds: int
    computed: bool


def boat_documents(
    judged: Judged,
    rules: RallyRules,
    row: int,
    boat: BoatCells,
    found: Mapping[str, Measured],
) -> BoatDocuments:
    """Everything the interface says about boat `row` of what was judged.

    `boat` are her cells as the sheet had them, `found` the measurement in force of each column.
    """
    fleet, policy, catalogue = judged.context.fleet, rules.policy, rules.catalogue
    entry = redacted(fleet.entry(row), boat.private)
    need = requirement_of(fleet, judged.requirements, policy, catalogue, row)
    findings = [finding_document(f, entry) for f in findings_of(judged.checks, fleet, row)]
    open_words = {standing.words for standing in OPEN_STANDINGS}
    open_ones = [f for f in findings if f["standing"] in open_words]
    shalls = sum(f["level"] == "shall" for f in open_ones)
    computed = not need.reason_not_computed
    document = {
        "entry_no": entry.entry_no,
        "boat_name": entry.boat_name,
        "sail_no": entry.sail_no,
        "berth": entry.berth,
        "boat_type": entry.boat_type,
        "design": entry.design,
        "computed": computed,
        "reason_not_computed": need.reason_not_computed,
        "published_range": RANGES[need.range_mark] if computed else "unknown",
        "open_shalls": shalls,
        "open_shoulds": len(open_ones) - shalls,
        "figures": _figures(need),
        "measures": _measures(judged, row, need, findings, boat, found),
        "strike": _strike(judged.strike, row),
        "strike_aboard": _strike(judged.context.strike_aboard, row),
        "remarks": list(entry.remarks),
        "warnings": list(entry.warnings),
    }
    return BoatDocuments(document, _requirement(need), findings, shalls, len(open_ones) - shalls, computed)


def finding_document(finding: Finding, entry: Entry) -> dict[str, Any]:
    """One finding."""
    check = finding.check
    return {
        "id": f"{entry.entry_no}/{check.id}",
        "entry_no": entry.entry_no,
        "boat_name": entry.boat_name,
        "check": check.id,
        "family": check.family,
        "level": check.level,
        "standing": finding.standing.words,
        "sentence": check.sentence,
        "rule": check.rule,
        "source": check.source,
        "consequence": check.consequence,
        "required": quantity(finding.required, check.dimension),
        "found": quantity(finding.found, check.dimension),
        "margin_percent": finding.margin_percent,
        "note": finding.note,
        "remedy": finding.remedy.sentence if finding.remedy else "",
    }


def quantity(value: float | None, dimension: str) -> dict[str, Any] | None:
    """A figure in SI and as shown in both systems; None where there is none."""
    if value is None or not math.isfinite(value):
        return None
    shown = _shown(value, dimension)
    return {"si": value, "dimension": dimension, "metric": shown.metric, "us": shown.us}


@lru_cache(maxsize=16_384)
def _shown(value: float, dimension: str) -> Shown:
    """As `show`; most figures of a boat are the same when she is judged again."""
    return show(value, dimension)


def measurable_fields() -> list[dict[str, Any]]:
    """What can be measured, and how it is written."""
    return [
        {
            "field": name,
            "label": field.label,
            "group": field.group,
            "kind": field.kind,
            "dimension": field.dimension or "",
            "guidance": field.expected,
            "choices": list(field.words),
        }
        for name, field in MEASURABLE.items()
    ]


def _requirement(need: Requirement) -> dict[str, Any]:
    return {
        "reason_not_computed": need.reason_not_computed,
        "sections": [
            {
                "name": section.name,
                "rope": section.rope_id,
                "diameter": quantity(section.diameter_m, "small_length"),
                "cones": section.cones,
                "length": quantity(section.length_m, "length"),
                "cut_length": quantity(section.cut_length_m, "length"),
                "head_tension": quantity(section.head_tension_n, "force"),
                "strength": quantity(section.strength_n, "force"),
            }
            for section in need.sections
        ],
        "workings": [
            {
                "id": working.id,
                "title": working.title,
                "value": quantity(working.value, working.dimension),
                "formula": working.formula,
                "inputs": [
                    {"name": name, "value": quantity(value, dimension)}
                    for name, value, dimension in working.inputs
                ],
                "source": working.source,
                "range_mark": working.range_mark,
            }
            for working in need.workings
        ],
    }


def _figures(need: Requirement) -> dict[str, float]:
    return {
        name: value for name, value in need.figures.items() if name not in POSITIONS and math.isfinite(value)
    }


def _measures(
    judged: Judged,
    row: int,
    need: Requirement,
    findings: Sequence[Mapping[str, Any]],
    boat: BoatCells,
    found: Mapping[str, Measured],
) -> list[dict[str, Any]]:
    """What can be measured aboard: what is needed, what was entered, what was found."""
    by_check = {finding["check"]: finding["required"] for finding in findings}
    at_most = {result.check.id for result in judged.checks if result.at_most}
    fleet = judged.context.fleet
    needed = _needed(need)
    measures = []
    for name, field in MEASURABLE.items():
        check = REQUIRED_BY.get(name, "")
        metric, us = needed.get(name, ("", ""))
        value = fleet.value(field.si_name, row) if field.kind == "quantity" else None
        measures.append(
            {
                "field": name,
                "required": by_check.get(check),
                "at_most": check in at_most,
                "required_text": metric,
                "required_text_us": us,
                "value": quantity(value, field.dimension or ""),
                "entered": redact(boat.cells.get(name, ""), boat.private),
                "found": _found(found[name]) if name in found else None,
            }
        )
    return measures


def _found(one: Measured) -> dict[str, str]:
    return {"text": one.text, "inspection": one.inspection}


def _needed(need: Requirement) -> dict[str, tuple[str, str]]:
    """What she needs where no check has the figure by itself, in metric and in US units."""
    if not need.sections:
        return {}
    lead, *sections = need.sections
    cones = f"{int(need.figures['cones'])}"
    thick = [show(section.diameter_m, "small_length") for section in sections]
    line, mouth = show(lead.diameter_m, "small_length"), show(need.figures["cone_mouth_m"], "small_length")
    return {
        "cone_count": (cones, cones),
        "cone_mouth": (mouth.metric, mouth.us),
        "bridle_diameter": (line.metric, line.us),
        "lead_line_diameter": (line.metric, line.us),
        "section_diameters": ("; ".join(s.metric for s in thick), "; ".join(s.us for s in thick)),
    }


def _strike(columns: StrikeColumns | None, row: int) -> dict[str, Any] | None:
    strike = strike_of(columns, row)
    if strike is None:
        return None
    return {
        "reason_not_computed": strike.reason_not_computed,
        "peak": quantity(strike.peak_n, "force"),
        "peak_time": quantity(strike.peak_time_s, "time"),
        "boat_speed": quantity(strike.boat_speed_mps, "speed"),
        "distance": quantity(strike.distance_m, "length"),
        "median": quantity(strike.median_n, "force"),
        "p90": quantity(strike.p90_n, "force"),
    }
