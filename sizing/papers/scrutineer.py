"""Scrutineers' sheets: a cover with a box to tick for each boat, then one sheet a boat to fill in."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from sizing.fields import ON_SHEET
from sizing.order.cloth.tiles import Paper
from sizing.order.loft.ink import Page
from sizing.order.loft.page import Col, Flow, Sign
from sizing.papers.look import CAUTION, READ, WRITTEN, put_blanks, put_facts, put_head, put_lines
from sizing.papers.scrutiny import SheetRow

_ROWS: Final = (
    Col("Look at", 100, bold=True), Col("Claimed", 98), Col("Needed", 124, bold=True),
    Col("Found", 106, blank=True), Col("By", 44, blank=True),
)  # fmt: skip
_COVER: Final = (
    Col("Done", 34), Col("Berth", 66, bold=True, lines=2), Col("Entry", 60, lines=2),
    Col("Boat", 170, bold=True, lines=3), Col("Aboard, by her entry", 130, lines=2),
    Col("By", 50, blank=True),
)  # fmt: skip
HOW: Final = (
    "Write what you find, with its unit, and your initials. What cannot be seen or measured is left empty: "
    "empty never counts as seen. Claimed is what her entry says; it may be wrong. “At least” and “at most” "
    "are required; “advised” is not."
)
NOT_HERE: Final = (
    "Strong points and the structure behind them are not on this sheet: they are for a surveyor, on a sheet "
    "of their own."
)


@dataclass(frozen=True)
class BoatSheet:
    """What stands on one boat's sheet; free text in it may be published."""

    entry_no: str
    boat_name: str
    berth: str
    facts: tuple[tuple[str, str], ...]
    aboard: str
    rows: tuple[SheetRow, ...]
    reason: str


def sheets(title: str, boats: Sequence[BoatSheet], paper: Paper, rally: str, day: str) -> list[Page]:
    """Return the pages of one part: its cover, and one sheet a boat in the order given."""
    pages = _cover(title, boats, paper, rally, day)
    for boat in boats:
        pages += _sheet(boat, title, paper, rally, day)
    return pages


LOOK: Final[Mapping[str, str]] = MappingProxyType({
    "cone_count": "Count the cones.",
    "cones_torn": "Look at every cone; count those torn, loose or missing.",
    "cone_mouth": "Measure the mouth of one cone.",
    "device_diameter": "Of a single device, measure its mouth.",
    "lead_line_length": "Measure from the bridle to the first cone.",
    "lead_line_diameter": "Measure the lead line hand-taut, with a caliper or a tape round it.",
    "section_diameters": "Measure each section of the cone line, from the boat outward.",
    "bridle_diameter": "Measure the rope of the bridle.",
    "line_ends": "Look whether every eye is spliced; a knot counts as a knot.",
    "thimble_type": "Look at the thimble in each eye.",
    "bridle_leg_length": "Measure one leg, eye to eye.",
    "end_weight": "Weigh the end weight.",
    "shackle_rating": "Read what is stamped on the weakest shackle: WLL or breaking load.",
    "stowed_ready": "Look whether it lies in its bag, made fast, ready to run.",
    "made_year": "Read the year on its label, or on the bill.",
})  # fmt: skip
"""How a scrutineer looks at each column of the sheet. [common practice, no source]"""


def how_to_look() -> Mapping[str, str]:
    """How each column on the sheet is looked at, by who holds the rule."""
    return {field.name: LOOK[field.name] for field in ON_SHEET}


def _cover(title: str, boats: Sequence[BoatSheet], paper: Paper, rally: str, day: str) -> list[Page]:
    flow = Flow(paper, f"Scrutineers' sheets: {title}", _foot(rally), WRITTEN)
    flow.text(title, size=20.0, bold=True)
    flow.text(f"{len(boats)} {'boat' if len(boats) == 1 else 'boats'}. {HOW} {NOT_HERE}", size=READ.cell)
    put_blanks(flow, ("Scrutineer", "Date"))
    flow.space(8.0)
    flow.table(
        _COVER,
        [(Sign.TICK, boat.berth, boat.entry_no, boat.boat_name, boat.aboard, "") for boat in boats],
    )
    flow.together(_put_how)
    flow.text(CAUTION.format(day), size=READ.small)
    return flow.finished()


def _put_how(flow: Flow) -> None:
    flow.heading("How to look", keep=40.0)
    by_part: dict[str, list[str]] = {}
    how = how_to_look()
    for field in ON_SHEET:
        by_part.setdefault(field.sheet, [])
        if how[field.name] not in by_part[field.sheet]:
            by_part[field.sheet].append(how[field.name])
    for part, said in by_part.items():
        flow.text(f"{part}: {' '.join(said)}", size=READ.small + 0.5)


def _sheet(boat: BoatSheet, title: str, paper: Paper, rally: str, day: str) -> list[Page]:
    flow = Flow(paper, f"Scrutineer's sheet: {title}", _foot(rally), WRITTEN)
    flow.space(4.0)
    put_head(flow, boat.entry_no, boat.boat_name, boat.berth)
    put_facts(flow, boat.facts)
    flow.space(4.0)
    if boat.reason:
        flow.text(f"What she needs could not be worked out: {boat.reason}", bold=True)
    if boat.rows:
        seen: set[str] = set()
        rows = []
        for row in boat.rows:
            rows.append((row.name, row.claimed, row.needed, "", ""))
            seen.add(row.part)
        flow.table(_ROWS, rows)
    flow.text("Anything else seen:")
    put_lines(flow, 1 if flow.left_over < 110.0 else 2, 20.0)
    put_blanks(flow, ("Scrutineer", "Date and time"))
    flow.space(4.0)
    flow.text(CAUTION.format(day), size=READ.small)
    return flow.finished()


def _foot(rally: str) -> str:
    return f"{rally}. Advice for planning and checking gear, not a certificate."
