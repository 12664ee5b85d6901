"""The surveyor's sheet: loads and angles of one boat's strong points, what to look at, room for findings."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources
from typing import Any, Final

from sizing.audit import REGISTER, needed_of
from sizing.drogue.bridle import half_angle_rad
from sizing.fields import FIELD_BY_NAME
from sizing.model import CHOSEN_BY, Finding
from sizing.order.cloth.tiles import Paper
from sizing.order.loft.ink import Page
from sizing.order.loft.page import Col, Flow, Sign
from sizing.papers.claims import claimed, wanted_of
from sizing.papers.look import CAUTION, CLOSE, put_blanks, put_choices, put_facts, put_head, put_lines
from sizing.papers.scrutiny import SheetRows
from sizing.policy import Policy
from sizing.spoken import spoken
from sizing.units import both

_LOADS: Final = (
    Col("On one strong point", 104, bold=True),
    Col("Pull", 106, bold=True),
    Col("Where it comes from", 280),
)
_STATED: Final = (
    Col("Stated, not seen", 92, bold=True), Col("Her entry says", 110), Col("Wanted", 138),
    Col("Seen", 150, blank=True),
)  # fmt: skip
FAMILIES: Final = frozenset({"attachment", "bridle"})
"""Checks of what carries the bridle; a surveyor also has a say on her weight, which is not looked at here."""
SIGNS: Final = (
    "[C] common practice, no source. [D] worked out by this program. [CG87] U.S. Coast Guard R&D Center, "
    "report CG-D-20-87 (1987), with its section."
)
_LINE_PT: Final = 23.0
_ALIKE: Final = 1.005
"""Loads that differ by less are one."""
_VERDICT_PT: Final = 190.0
VOUCHES: Final = (
    "The loads are planning figures for a strike by a very severe breaking wave; nobody has tested this "
    "boat. This program vouches for no fitting, no bolt and no laminate: what is accepted here is the "
    "surveyor's word."
)


@dataclass(frozen=True)
class Look:
    """One thing to look at, where it comes from, and on which hulls."""

    text: str
    sign: str
    hulls: frozenset[str]


@dataclass(frozen=True)
class SurveyBoat:
    """What stands on one boat's sheet; free text in it may be published."""

    row: int
    entry_no: str
    boat_name: str
    design: str
    findings: tuple[Finding, ...]


@lru_cache(maxsize=1)
def looks() -> tuple[Look, ...]:
    """Return what is looked at, in order, as it stands in the file."""
    content = resources.files("sizing.papers").joinpath("surveyor.toml").read_text(encoding="utf-8")
    found: list[dict[str, Any]] = tomllib.loads(content)["look"]
    return tuple(Look(item["text"], item["sign"], frozenset(item.get("hulls", ()))) for item in found)


def survey(boat: SurveyBoat, of: SheetRows, policy: Policy, paper: Paper, day: str) -> list[Page]:
    """Return the sheet of one boat that has figures."""
    fleet, needs, row = of.fleet, of.needs, boat.row
    boat_type = fleet.choice_words("boat_type", row) or ""
    foot = f"{policy.rally.name}. Advice for planning and checking gear, not a certificate."
    name = f", {boat.boat_name}" if boat.boat_name.strip() else ""
    flow = Flow(paper, f"Surveyor's sheet: entry {boat.entry_no}{name}", foot, CLOSE)
    flow.space(4.0)
    put_head(flow, boat.entry_no, boat.boat_name)
    put_facts(
        flow,
        (
            ("Type", boat_type),
            ("Design", boat.design),
            ("Length", both(float(fleet.number["loa_m"][row]), "length")),
            ("Displacement reckoned with", both(float(needs.displacement_used_kg[row]), "mass")),
        ),
    )
    flow.text(f"{VOUCHES}{_outside(of, row)}", size=CLOSE.cell, bold=True)
    flow.heading("What each strong point has to carry", keep=90.0)
    flow.table(_LOADS, _loads(of, policy, row))
    flow.heading("Where it pulls", keep=60.0)
    for said in _pulls(of, row):
        flow.text(said, size=CLOSE.cell)
    flow.heading("What is there", keep=80.0)
    flow.table(_STATED, _stated(boat, of))
    flow.new_page()
    flow.heading("What to look at, in this order", keep=60.0)
    pull = spoken(float(needs.design_load_n[row]), "force", "up")
    for look in looks():
        if look.hulls <= set(boat_type.split()):
            flow.point(Sign.TICK, look.text.format(pull=pull), source=f"[{look.sign}]")
    flow.text(SIGNS, size=CLOSE.small)
    _put_verdict(flow, day)
    return flow.finished()


def _outside(of: SheetRows, row: int) -> str:
    said = []
    if of.needs.hull_mark[row]:
        said.append("her hull type (the source is about sailing monohulls)")
    if of.needs.range_mark[row]:
        said.append("her displacement (the published range is 7,500 to 60,000 lb)")
    return f" Outside the source: {' and '.join(said)}. Her figures deserve more care." if said else ""


def _loads(of: SheetRows, policy: Policy, row: int) -> Sequence[tuple[str, str, str]]:
    needs, share = of.needs, policy.sizing.attachment_share
    pull = spoken(float(needs.design_load_n[row]), "force", "up")
    required, chosen = float(needs.attachment_load_n[row]), float(needs.chosen_attachment_n[row])
    advised = "No more: simulated strikes on her rig ask no more, or none were worked out [D]."
    if chosen > required * _ALIKE:
        by = CHOSEN_BY[int(needs.chosen_by[row])].removeprefix("the published load and ")
        advised = (
            f"The same share of what simulated strikes on her rig ask for: {by} [D]. New fittings are best "
            "chosen for it."
        )
    return (
        (
            "Each, required",
            spoken(required, "force", "up"),
            f"{100 * share:.0f} % of the design load, which is {pull}: about the hardest pull of a very "
            "severe breaking wave on a boat of her weight. Met rarely, if ever [CG87 6.2, 6.3].",
        ),
        ("Each, advised", spoken(chosen, "force", "up"), advised),
        (
            "One alone, at worst",
            pull,
            "Where she yaws so far that the other leg is slack, one leg has all of it [D]. Legs are made for "
            "that.",
        ),
    )


def _pulls(of: SheetRows, row: int) -> Iterator[str]:
    fleet, plan = of.fleet, of.plans.get(row)
    if of.needs.bridle_waits[row]:
        yield (
            "Wanted at or near the corners of the transom, near deck level, as far apart as she allows [C]. "
            "How far apart they are is not known yet, so no angle can be worked out: measure it."
        )
        return
    apart_m = float(fleet.number["transom_width_m"][row])
    own_m = fleet.value("bridle_leg_length_m", row)
    new = own_m is None or (plan is not None and "bridle" in plan.groups)
    leg_m = float(of.needs.bridle_leg_m[row]) if own_m is None or new else own_m
    leg = spoken(leg_m, "length", "up" if new else "nearest")
    yield (
        "Wanted at or near the corners of the transom, near deck level, as far apart as she allows [C]. "
        f"Entered as {both(apart_m, 'length')} apart. Legs of {leg}"
        f"{', to be made' if new else ', by her entry'}."
    )
    if leg_m <= 0.5 * apart_m:
        yield "Legs so short do not meet behind her: no angle can be worked out."
        return
    angle = both(half_angle_rad(leg_m / apart_m), "angle")
    yield (
        f"Lying straight, each leg pulls aft and {angle} inboard. Past {angle} of yaw one leg is slack; the "
        "other pulls in line with the drogue, further inboard the further she yaws [D]. In tests boats yawed "
        "about 10° either way [CG87 4.3]; struck on the quarter it may be far more. Up and down it follows "
        "the seas: no angle is published, so look from well below level to above it [C]."
    )


def _stated(boat: SurveyBoat, of: SheetRows) -> list[tuple[str, str, str, str]]:
    """A line for each column measured for a check that is a surveyor's to mend, by the register."""
    needed = needed_of(boat.findings)
    rows = []
    about: dict[str, list[Finding]] = {}
    for finding in boat.findings:
        if finding.check.columns:
            about.setdefault(finding.check.columns[0], []).append(finding)
    columns = dict.fromkeys(
        column
        for spec in REGISTER
        if spec.done_by == "surveyor" and spec.check.family in FAMILIES
        for column in spec.check.columns
    )
    for name in columns:
        field = FIELD_BY_NAME[name]
        hers = sorted(about.get(name, ()), key=lambda finding: finding.check.level != "shall")
        wanted = wanted_of(field, hers, needed, of.reference_day) if hers else ""
        if field.kind == "bolts":
            wanted = _shear(hers)
        said = claimed(of.fleet, of.catalogue, field, boat.row)
        rows.append((f"{field.label[0].upper()}{field.label[1:]}", said, wanted, ""))
    return rows


def _shear(hers: Sequence[Finding]) -> str:
    """What the bolts stated hold, which is screening alone."""
    found = next((finding.found for finding in hers if finding.found is not None), None)
    if found is None or not math.isfinite(found):
        return "number, size, stamp"
    return f"those stated break at {both(found, 'force')} in shear (screening)"


def _put_verdict(flow: Flow, day: str) -> None:
    flow.heading("Findings", keep=40.0)
    put_lines(flow, min(max(int((flow.left_over - _VERDICT_PT) / _LINE_PT), 2), 8), _LINE_PT)
    flow.space(6.0)
    put_choices(flow, ("accepted", "accepted on condition", "not accepted"))
    put_blanks(flow, ("Condition",))
    put_blanks(flow, ("For a load on each of",))
    put_blanks(flow, ("Name", "Firm or qualification"), 28.0)
    put_blanks(flow, ("Date", "Signature"), 30.0)
    flow.space(4.0)
    flow.text(CAUTION.format(day), size=CLOSE.small)
