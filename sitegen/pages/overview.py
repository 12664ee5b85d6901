"""The fleet at a glance: counts, what to chase, and every boat in one table."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import ClassVar, Final

import numpy as np

from sitegen.boat_drawings import Drawing
from sitegen.boat_facts import Gatherer
from sitegen.dates import days_words
from sitegen.pages.boat import date_lines
from sitegen.pages.changes import ChangesPage
from sitegen.pages.frame import Frame, SearchEntry
from sitegen.pages.parts import BoatKey, BoatStanding, DateLine, anchor_of, plural, shown
from sitegen.pages.plan import choice_words
from sitegen.plain_text import visible
from sitegen.redaction import redact
from sizing.model import BoolArray, MusterResult, Standing
from sizing.policy import Policy
from sizing.units import Shown

RANK: Final = {"nothing-open": 0, "open-should": 1, "open-shall": 2, "not-computed": 3}
STANDING_WORDS: Final[dict[BoatKey, str]] = {
    "open-shall": "open shall",
    "open-should": "no open shall, but an open should",
    "nothing-open": "nothing open",
    "not-computed": "not computed",
}
MOST_CHECKS_CHASED: Final = 5


@dataclass(frozen=True)
class Tile:
    """One large count."""

    key: str
    number: str
    words: str
    shape: str = ""
    href: str = ""


@dataclass(frozen=True)
class ChaseItem:
    """One thing for the officer to run after."""

    title: str
    detail: str = ""
    href: str = ""


@dataclass(frozen=True)
class FamilyRow:
    """How the boats stand on one family of checks."""

    family: str
    shall: int
    should: int
    clear: int


@dataclass(frozen=True)
class Option:
    """One choice of a filter."""

    key: str
    words: str


@dataclass(frozen=True)
class BoatRow:
    """One boat in the fleet table; `*_sort` are the figures it is sorted by, blank where there is none."""

    href: str
    entry_no: str
    boat_name: str
    design: str
    boat_type: str
    berth: str
    standing: BoatStanding
    rank: str
    displacement: Shown | None
    displacement_sort: str
    cones: str
    cones_sort: str
    load: Shown | None
    load_sort: str
    range_mark: bool
    hull_mark: bool
    plan: str
    words: str


@dataclass(frozen=True)
class OverviewPage:
    """What the overview template may use."""

    template: ClassVar[str] = "overview.html.j2"
    frame = Frame(
        "index.html",
        "Fleet",
        "The fleet at a glance: standings, what to chase, every boat",
        "overview",
        "index.html",
    )

    rally: str
    lead_words: str
    tiles: tuple[Tile, ...]
    dates: tuple[DateLine, ...]
    changes: ChangesPage | None
    chase: tuple[ChaseItem, ...]
    families: tuple[FamilyRow, ...]
    fleet_drawings: tuple[Drawing, ...]
    days_drawings: tuple[Drawing, ...]
    standing_options: tuple[Option, ...]
    type_options: tuple[str, ...]
    rows: tuple[BoatRow, ...]
    file_notes: tuple[str, ...]

    def search_entries(self) -> tuple[SearchEntry, ...]:
        """The overview as a whole."""
        return (SearchEntry("index.html", "Fleet", "overview, every boat, what to chase, standings"),)


def overview_page(
    gatherer: Gatherer,
    policy: Policy,
    today: date,
    private: Sequence[str],
    drawings: tuple[Drawing, ...] = (),
    days_drawings: tuple[Drawing, ...] = (),
    changes: ChangesPage | None = None,
) -> OverviewPage:
    """Return the overview. `private` are contact details that may not appear in the file's notes."""
    result = gatherer.result
    rows = tuple(_boat_row(gatherer, row) for row in range(len(gatherer)))
    return OverviewPage(
        rally=visible(policy.rally.name),
        lead_words=_lead(rows, gatherer, policy, today),
        tiles=_tiles(rows, result, policy, today),
        dates=date_lines(policy, today),
        changes=changes,
        chase=_chase(gatherer, rows, policy, today),
        families=_families(result),
        fleet_drawings=drawings,
        days_drawings=days_drawings,
        standing_options=tuple(Option(key, words) for key, words in STANDING_WORDS.items()),
        type_options=tuple(sorted({row.boat_type for row in rows})),
        rows=rows,
        file_notes=tuple(visible(redact(text, private)) for text in result.intake.file_notes),
    )


def _boat_row(gatherer: Gatherer, row: int) -> BoatRow:
    fleet, needs = gatherer.fleet, gatherer.result.requirements
    text = {
        name: visible(redact(str(fleet.text[name][row] or "")))
        for name in ("boat_name", "design", "berth", "sail_no")
    }
    entry_no = visible(str(fleet.text["entry_no"][row] or ""))
    boat_type = fleet.choice_words("boat_type", row) or ""
    computed = gatherer.computed(row)
    displacement = float(fleet.number["displacement_kg"][row])
    load = float(needs.design_load_n[row]) if computed else None
    cones = int(needs.cones[row]) if computed else None
    standing = gatherer.standing(row)
    plan = gatherer.plan(row)
    return BoatRow(
        href=gatherer.address(row),
        entry_no=entry_no,
        boat_name=text["boat_name"],
        design=text["design"],
        boat_type=boat_type,
        berth=text["berth"],
        standing=standing,
        rank=str(RANK[standing.key] * 1_000_000 + standing.open_shalls * 1_000 + standing.open_shoulds),
        displacement=shown(displacement, "mass"),
        displacement_sort=f"{displacement:.0f}",
        cones=str(cones) if cones is not None else "",
        cones_sort=str(cones) if cones is not None else "",
        load=shown(load, "force"),
        load_sort=f"{load:.0f}" if load is not None else "",
        range_mark=computed and bool(needs.range_mark[row]),
        hull_mark=computed and bool(needs.hull_mark[row]),
        plan=choice_words(plan, computed=computed) if plan is not None else "",
        words=" ".join([entry_no, *text.values(), boat_type]),
    )


def _count(rows: tuple[BoatRow, ...], key: str) -> int:
    return sum(row.standing.key == key for row in rows)


def _lead(rows: tuple[BoatRow, ...], gatherer: Gatherer, policy: Policy, today: date) -> str:
    open_boats = _count(rows, "open-shall")
    verb = "has" if open_boats == 1 else "have"
    words = f"{plural(len(rows), 'boat')} accepted; {open_boats:,} of them {verb} an open shall."
    if len(rows) == 1:
        words = f"1 boat accepted; she has {'an' if open_boats else 'no'} open shall."
    whole = gatherer.overall
    trusted = int(((whole.open_shalls == 0) & (whole.on_word > 0)).sum())
    if trusted:
        verb = "rests" if trusted == 1 else "rest"
        words += f" Of those with none, {trusted:,} {verb} on a skipper's word alone."
    if policy.rally.departure is not None:
        tense = "was" if policy.rally.departure < today else "is"
        words += f" Departure {tense} {days_words(policy.rally.departure, today)}."
    rejected = len(gatherer.result.intake.rejected)
    if rejected:
        words += f" {plural(rejected, 'row')} of the fleet file could not be taken."
    return words


def _tiles(rows: tuple[BoatRow, ...], result: MusterResult, policy: Policy, today: date) -> tuple[Tile, ...]:
    tiles = [
        Tile(
            key,
            f"{_count(rows, key):,}",
            f"with {words}" if key != "not-computed" else words,
            key,
            f"#standing={key}",
        )
        for key, words in STANDING_WORDS.items()
        if key != "not-computed" or _count(rows, key)
    ]
    rejected = len(result.intake.rejected)
    if rejected:
        tiles.append(
            Tile("rejected", f"{rejected:,}", "rejected rows, and how to mend them", "", "rejected.html")
        )
    if policy.rally.departure is not None:
        days = (policy.rally.departure - today).days
        words = "days to departure" if days >= 0 else "days since departure"
        tiles.append(Tile("days", f"{abs(days):,}", words))
    return tuple(tiles)


def _families(result: MusterResult) -> tuple[FamilyRow, ...]:
    boats = len(result.intake.fleet)
    masks: dict[str, dict[str, BoolArray]] = {}
    for column in result.checks:
        family = masks.setdefault(
            column.check.family, {level: np.zeros(boats, dtype=np.bool_) for level in ("shall", "should")}
        )
        family[column.check.level] |= column.is_open
        family["should"] |= column.below_advised
    rows = []
    for name, levels in masks.items():
        shall, should = levels["shall"], levels["should"] & ~levels["shall"]
        count, lesser = int(shall.sum()), int(should.sum())
        rows.append(FamilyRow(name, count, lesser, boats - count - lesser))
    return tuple(rows)


def _chase(
    gatherer: Gatherer, rows: tuple[BoatRow, ...], policy: Policy, today: date
) -> tuple[ChaseItem, ...]:
    result = gatherer.result
    items: list[ChaseItem] = []
    rejected = len(result.intake.rejected)
    if rejected:
        items.append(
            ChaseItem(
                f"{plural(rejected, 'rejected row')} to mend",
                "This boat is in nothing below." if rejected == 1 else "These boats are in nothing below.",
                "rejected.html",
            )
        )
    if not_computed := _count(rows, "not-computed"):
        items.append(
            ChaseItem(
                f"{plural(not_computed, 'boat')} not computed",
                "Her page says why." if not_computed == 1 else "Each page says why.",
                "#standing=not-computed",
            )
        )
    counted = [
        (int(column.is_open.sum()), place, column)
        for place, column in enumerate(result.checks)
        if column.check.level == "shall"
    ]
    for count, _, column in sorted(counted, key=lambda item: (-item[0], item[1]))[:MOST_CHECKS_CHASED]:
        if count:
            unproven = int((column.standing == int(Standing.UNPROVEN)).sum())
            share = f"{unproven:,} of them " if unproven < count else "all of them " if count > 1 else ""
            proof = f", {share}only for want of evidence" if unproven else ""
            items.append(
                ChaseItem(
                    column.check.sentence,
                    f"Open on {plural(count, 'boat')}{proof}.",
                    f"checks.html#{anchor_of(column.check.id)}",
                )
            )
    if result.order.problems:
        items.append(
            ChaseItem(
                f"{plural(len(result.order.problems), 'part')} that could not be ordered",
                "",
                "order.html#problems",
            )
        )
    items += _late_lines(result, policy, today)
    return tuple(items)


def _late_lines(result: MusterResult, policy: Policy, today: date) -> list[ChaseItem]:
    if policy.rally.departure is None:
        return []
    days = (policy.rally.departure - today).days
    late = [line for line in result.order.lines if line.lead_days is not None and line.lead_days >= days]
    if not late:
        return []
    worst = max(line.lead_days or 0 for line in late)
    return [
        ChaseItem(
            f"{plural(len(late), 'order line')} that cannot arrive in time",
            f"The longest lead time is {plural(worst, 'day')}.",
            "order.html#lines",
        )
    ]
