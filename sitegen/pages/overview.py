"""The fleet at a glance: how far the boats have come, whom to call today, and every boat in one table."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import ClassVar, Final

import numpy as np

from sitegen.boat_drawings import Drawing
from sitegen.boat_facts import Gatherer
from sitegen.dates import long_date
from sitegen.pages.calls import BlockView, CallGroup, block_view, call_views, grouped, more_calls
from sitegen.pages.changes import ChangesPage
from sitegen.pages.frame import Frame, SearchEntry
from sitegen.pages.parts import plural, shown
from sitegen.pages.plan import choice_words
from sitegen.pages.rejected import RejectedView
from sitegen.plain_text import visible
from sizing.audit import BOAT_STAGES, STAGE_OF, StageKey, stages_of
from sizing.chase import MOST_TODAY, calls_of, chase_actions, holding_up, last_days
from sizing.model import BoolArray, MusterResult
from sizing.order.workshop.told import verdict
from sizing.policy import Policy
from sizing.redaction import redact
from sizing.units import Shown
from sizing.words import in_plain_words, open_words, vocabulary, word

NOT_TAKEN: Final = "not-taken"
"""Rows that could not be taken have come to no stage: they are a figure of their own."""
_NOT_TAKEN: Final = (
    NOT_TAKEN, word("stage", NOT_TAKEN, "officer"), vocabulary()["stage", NOT_TAKEN].meaning,
)  # fmt: skip


@dataclass(frozen=True)
class StageView:
    """One stage and how many boats are in it; `href` leads to them in the table, blank without any."""

    key: str
    number: str
    words: str
    meaning: str
    href: str


@dataclass(frozen=True)
class RallyDay:
    """A day of the rally. How far off it is stands in the one style sheet of the day, by `day`."""

    name: str
    due: str
    day: str


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
    stage: str
    stage_words: str
    detail: str
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
        "The fleet at a glance: how far the boats have come, whom to call, every boat",
        "overview",
        "index.html",
    )

    rally: str
    stages: tuple[StageView, ...]
    notes: tuple[str, ...]
    calls: tuple[CallGroup, ...]
    more_calls: str
    block: BlockView
    days: tuple[RallyDay, ...]
    changes: ChangesPage | None
    families: tuple[FamilyRow, ...]
    fleet_drawings: tuple[Drawing, ...]
    stage_options: tuple[Option, ...]
    type_options: tuple[str, ...]
    rows: tuple[BoatRow, ...]
    file_notes: tuple[str, ...]

    def search_entries(self) -> tuple[SearchEntry, ...]:
        """The overview as a whole."""
        return (SearchEntry("index.html", "Fleet", "overview, every boat, whom to call, stages"),)


def overview_page(
    gatherer: Gatherer,
    policy: Policy,
    private: Sequence[str],
    refused: Sequence[RejectedView],
    drawings: tuple[Drawing, ...] = (),
    changes: ChangesPage | None = None,
) -> OverviewPage:
    """Return the overview.

    `private` are contact details that may not appear in the file's notes, `refused` the rejected rows as
    their own page shows them.
    """
    result = gatherer.result
    stages = stages_of(result)
    rows = (
        *(_boat_row(gatherer, row, stages[row]) for row in range(len(gatherer)) if gatherer.is_public(row)),
        *(_refused_row(view, at) for at, view in enumerate(refused, start=1)),
    )
    calls = calls_of(result, chase_actions(result, policy))
    leads = {view.row_no: f"rejected.html#row-{at}" for at, view in enumerate(refused, start=1)}
    views = call_views(calls, gatherer, leads, private)
    held_up = call_views(holding_up(calls), gatherer, leads, private)
    return OverviewPage(
        rally=visible(policy.rally.name),
        stages=_stages([*stages, *[NOT_TAKEN] * len(result.intake.rejected)], {row.stage for row in rows}),
        notes=tuple(_notes(gatherer)),
        calls=grouped(views[:MOST_TODAY]),
        more_calls=more_calls(calls),
        block=block_view(calls, held_up, last_days(result, policy)["orders"], result, policy),
        days=rally_days(policy),
        changes=changes,
        families=_families(result),
        fleet_drawings=drawings,
        stage_options=(Option(*_NOT_TAKEN[:2]), *(Option(stage.key, stage.words) for stage in BOAT_STAGES)),
        type_options=tuple(sorted({row.boat_type for row in rows} - {""})),
        rows=rows,
        file_notes=tuple(
            visible(redact(text, private))
            for text in result.intake.file_notes
            if not gatherer.hidden.named_in(text)
        ),
    )


def rally_days(policy: Policy) -> tuple[RallyDay, ...]:
    """Return the rally's days in order, departure last."""
    days = [(m.due, visible(m.name)) for m in policy.rally.milestones]
    if policy.rally.departure is not None:
        days.append((policy.rally.departure, "Departure"))
    return tuple(RallyDay(name, long_date(due), due.isoformat()) for due, name in sorted(days))


def counted_days(gatherer: Gatherer, policy: Policy) -> tuple[date, ...]:
    """Return every day of which the overview says how far off it is."""
    days = {m.due for m in policy.rally.milestones} | {policy.rally.departure}
    days.add(last_days(gatherer.result, policy)["orders"].day)
    return tuple(sorted(day for day in days if day is not None))


def _stages(stages: Sequence[str], listed: set[str]) -> tuple[StageView, ...]:
    told = [(stage.key, stage.words, stage.meaning) for stage in BOAT_STAGES]
    counts = [(*stage, stages.count(stage[0])) for stage in (_NOT_TAKEN, *told)]
    return tuple(
        StageView(
            key,
            f"{count:,}",
            words.capitalize(),
            meaning,
            f"#stage={key}" if count and key in listed else "",
        )
        for key, words, meaning, count in counts
    )


def _boat_row(gatherer: Gatherer, row: int, stage: StageKey) -> BoatRow:
    fleet, needs = gatherer.fleet, gatherer.result.requirements
    text = {
        name: visible(redact(str(fleet.text[name][row] or ""))) for name in ("boat_name", "design", "sail_no")
    }
    text["berth"] = visible(redact(str(fleet.text["berth"][row] or ""), gatherer.hidden.names))
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
        stage=stage,
        stage_words=STAGE_OF[stage].words,
        detail=open_words(standing.open_shalls, standing.open_shoulds, "officer")
        if computed
        else visible(needs.not_computed[row]),
        rank=_rank(stage, standing.open_shalls * 1_000 + standing.open_shoulds),
        displacement=shown(displacement, "mass"),
        displacement_sort=f"{displacement:.0f}",
        cones=str(cones) if cones is not None else "",
        cones_sort=str(cones) if cones is not None else "",
        load=shown(load, "force"),
        load_sort=f"{load:.0f}" if load is not None else "",
        range_mark=computed and bool(needs.range_mark[row]),
        hull_mark=computed and bool(needs.hull_mark[row]),
        plan=choice_words(plan, computed=computed, unknown=row in gatherer.answers_wanted)
        if plan is not None
        else "",
        words=" ".join([entry_no, *text.values(), boat_type]),
    )


def _refused_row(view: RejectedView, place: int) -> BoatRow:
    """A row that could not be taken: she stands in the table too, so that nobody is forgotten."""
    first, more = view.errors[0], len(view.errors) - 1
    column = f"{first.column}: " if first.column else ""
    why = f"{column}{first.found}" + (f"; and {more} more" if more else "")
    return BoatRow(
        href=f"rejected.html#row-{place}",
        entry_no=view.entry_no,
        boat_name=view.boat_name or f"Row {view.row_no}",
        design="",
        boat_type="",
        berth="",
        stage=NOT_TAKEN,
        stage_words=_NOT_TAKEN[1],
        detail=why,
        rank="0",
        displacement=None,
        displacement_sort="",
        cones="",
        cones_sort="",
        load=None,
        load_sort="",
        range_mark=False,
        hull_mark=False,
        plan="",
        words=f"{view.entry_no} {view.boat_name}",
    )


def _rank(stage: StageKey, still_open: int) -> str:
    """By what the column of stages is sorted: the furthest from ready first, then by what is left to do."""
    place = [one.key for one in BOAT_STAGES].index(stage)
    return str((place + 1) * 1_000_000 + 999_999 - min(still_open, 999_999))


def _notes(gatherer: Gatherer) -> list[str]:
    """What the stages leave unsaid."""
    notes = []
    unlisted = len(gatherer.hidden)
    if unlisted:
        has = "has a private page and is" if unlisted == 1 else "have private pages and are"
        notes.append(f"{plural(unlisted, 'boat')} {has} counted here, but in no list.")
    plan = gatherer.result.workshop
    if plan is not None and not plan.enough:
        notes.append(f"Workshop: {verdict(plan)}")
    whole = gatherer.overall
    trusted = int(((whole.open_shalls == 0) & (whole.on_word > 0)).sum())
    if trusted:
        verb = "rests" if trusted == 1 else "rest"
        notes.append(f"Of the boats that have shown all, {trusted:,} {verb} on a skipper's word alone.")
    return notes


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
        rows.append(FamilyRow(in_plain_words(name), count, lesser, boats - count - lesser))
    return tuple(rows)
