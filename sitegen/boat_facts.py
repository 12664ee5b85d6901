"""Everything the site says about one boat, in one frozen facts, without contact details."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from functools import cached_property
from typing import Final, NamedTuple

from sitegen.addresses import boat_address, boat_slugs
from sitegen.boat_loads import Ride, Strike, ride_of, strike_of
from sitegen.hidden_boats import HiddenBoats
from sitegen.pages.changes import SinceNote
from sitegen.pages.parts import BoatStanding, standing_of
from sitegen.shares import Share, Shares
from sizing.audit import answers_wanted, findings_of, overall
from sizing.catalogue import Catalogue
from sizing.chase import Due, Getting, Stage, getting_of, last_days
from sizing.drogue.connections import connections
from sizing.drogue.marks import marks_table
from sizing.drogue.working import requirement_of
from sizing.entry_key import entry_key
from sizing.model import (
    ConeSize,
    Entry,
    Finding,
    IntArray,
    Joint,
    MendPlan,
    MusterResult,
    Piece,
    Requirement,
    RequirementColumns,
)
from sizing.order.together_words import thicker_of
from sizing.papers.names import BoatPaper, papers_of
from sizing.policy import Policy, Waiver
from sizing.redaction import redact
from sizing.seamanship.handling import Handling, handling_of
from sizing.seamanship.recovery import RecoveryRope, recovery_ropes

MISSING: Final = -1


class Mark(NamedTuple):
    """Where one cone's mouth is tied: from the outer eye of its own section, and from the end thimble."""

    cone: int
    section: int
    in_section_m: float
    distance_m: float


class CutPlace(NamedTuple):
    """Where one of a boat's pieces is cut from."""

    item: str
    spool_no: int
    purpose: str
    length_m: float


@dataclass(frozen=True)
class BoatFacts:
    """One boat as published. Free text has been redacted.

    `days` are the last days of the rally's stages. A page may tell of `today` only what is told in
    `Gatherer.own`: which of the rally's days are over.
    """

    row: int
    slug: str
    public: bool
    entry: Entry
    standing: BoatStanding
    requirement: Requirement
    figures: Mapping[str, float]
    bridle_rope: str
    bridle_diameter_m: float
    thimble: str
    shackle: str
    findings: tuple[Finding, ...]
    met: int
    met_on_word: int
    waivers: tuple[Waiver, ...]
    plan: MendPlan | None
    parts_not_known: bool
    pieces: tuple[Piece, ...]
    cuts: tuple[CutPlace, ...]
    marks: tuple[Mark, ...]
    joints: tuple[Joint, ...]
    thicker: str
    strike: Strike | None
    strike_aboard: Strike | None
    ride: Ride | None
    since: SinceNote | None
    told: Handling
    recovery: tuple[RecoveryRope, ...]
    share: Share
    getting: Getting
    days: Mapping[Stage, Due]
    today: date
    papers: tuple[BoatPaper, ...] = ()

    @property
    def computed(self) -> bool:
        """Whether her figures could be computed."""
        return not self.requirement.reason_not_computed

    @property
    def whole_length_m(self) -> float:
        """From her strong points to the end thimble, m; NaN without figures."""
        return self.figures.get("bridle_leg_m", math.nan) + self.figures.get("line_length_m", math.nan)

    @property
    def cone_sizes(self) -> tuple[ConeSize, ...]:
        """Every size of cone on the line she needs, and of those made for her; smallest first."""
        needed = {
            ConeSize(self.figures["cone_mouth_m"], section.small_end_m)
            for section in self.requirement.sections
            if section.cones
        }
        return tuple(sorted(needed | {piece.cone for piece in self.pieces if piece.cone is not None}))

    @property
    def address(self) -> str:
        """Her page, relative to the site."""
        return boat_address(self.slug)


class Gatherer:
    """Makes the facts of one boat after another from a run's result."""

    def __init__(
        self,
        result: MusterResult,
        policy: Policy,
        catalogue: Catalogue,
        notes: Mapping[str, SinceNote] | None = None,
        key: bytes = b"",
        *,
        papers: bool = False,
    ) -> None:
        """Gather once what all boats share; `papers` says whether each boat's lie beside her page."""
        self._papers = papers_of(result) if papers else {}
        self.result = result
        self.policy = policy
        self.catalogue = catalogue
        self.fleet = result.intake.fleet
        self.notes = notes or {}
        entry_numbers = [str(value or "") for value in self.fleet.text["entry_no"]]
        self.hidden = HiddenBoats(result.intake, policy)
        self._slugs = boat_slugs(entry_numbers, self.hidden.rows, key)
        self.overall = overall(result.checks, self.fleet)
        self.days = last_days(result, policy)
        rally = policy.rally
        dues = [
            *self.days.values(),
            Due(rally.departure, ""),
            *(Due(m.due, m.name) for m in rally.milestones),
        ]
        self._days = tuple((due, due.is_over(result.today)) for due in dues)
        self._plans = {plan.row: plan for plan in result.plans}
        self._shares = Shares(result.order, self.fleet)
        self._pieces: dict[int, list[Piece]] = defaultdict(list)
        for piece in (*result.order.pieces, *result.order.would_be.pieces):
            self._pieces[piece.row].append(piece)
        self._cuts: dict[int, list[CutPlace]] = defaultdict(list)
        for spool in result.order.spools:
            for cut in spool.pieces:
                self._cuts[cut.row].append(CutPlace(spool.item, spool.spool_no, cut.purpose, cut.length_m))

    def __len__(self) -> int:
        return len(self.fleet)

    @cached_property
    def answers_wanted(self) -> frozenset[int]:
        """Boats of which something required is not shown that parts of the order could be for."""
        return answers_wanted(self.result.checks)

    def is_public(self, row: int) -> bool:
        """Whether boat `row` stands in the lists of the site."""
        return row not in self.hidden

    def standing(self, row: int) -> BoatStanding:
        """How boat `row` stands as a whole."""
        shalls, shoulds = self.overall.open_shalls[row], self.overall.open_shoulds[row]
        return standing_of(int(shalls), int(shoulds), computed=self.computed(row))

    def computed(self, row: int) -> bool:
        """Whether the figures of boat `row` could be computed."""
        return row not in self.result.requirements.not_computed

    def slug(self, row: int) -> str:
        """The address part of boat `row`."""
        return self._slugs[row]

    def address(self, row: int) -> str:
        """The page of boat `row`, relative to the site."""
        return boat_address(self.slug(row))

    def plan(self, row: int) -> MendPlan | None:
        """The plan for boat `row`."""
        return self._plans.get(row)

    def owed(self, row: int) -> Decimal | None:
        """What boat `row` owes in all, with what came before; None where nothing was bought for her."""
        return self._shares.owed(row)

    def papers(self, row: int) -> tuple[BoatPaper, ...]:
        """The papers that lie beside the page of boat `row`."""
        return self._papers.get(row, ())

    def own(self, row: int) -> tuple[object, ...]:
        """What goes into the facts of boat `row` beside the columns of the result."""
        entry = self.fleet.entry(row)
        return (
            self.slug(row),
            entry,
            self.hidden.left_out(row),
            self.is_public(row),
            self._plans.get(row),
            self._pieces.get(row),
            self._cuts.get(row),
            self.notes.get(entry.entry_no),
            self._shares.of(row),
            getting_of(self.result, row),
            self.result.order.thicker(row),
            self._days,
            self.papers(row),
        )

    def facts(self, row: int) -> BoatFacts:
        """Everything about boat `row`."""
        entry = self.fleet.entry(row)
        private = self.hidden.left_out(row)
        needs = self.result.requirements
        requirement = requirement_of(self.fleet, needs, self.policy, self.catalogue, row)
        findings = findings_of(self.result.checks, self.fleet, row)
        return BoatFacts(
            row=row,
            slug=self.slug(row),
            public=self.is_public(row),
            entry=redacted(entry, private),
            standing=self.standing(row),
            requirement=requirement,
            figures=requirement.figures,
            bridle_rope=_name(self.catalogue.ropes.name, needs.bridle_rope, row),
            bridle_diameter_m=self._diameter(needs.bridle_rope, row),
            thimble=_name(self.catalogue.thimbles.name, needs.thimble, row),
            shackle=_name(self.catalogue.shackles.name, needs.shackle, row),
            findings=findings,
            met=int(self.overall.met[row]),
            met_on_word=int(self.overall.on_word[row]),
            waivers=tuple(
                w.model_copy(update={"reason": redact(w.reason, private)})
                for w in self.policy.waivers
                if entry_key(w.entry_no) == entry_key(entry.entry_no)
            ),
            plan=self._plans.get(row),
            parts_not_known=row in self.answers_wanted,
            pieces=tuple(self._pieces.get(row, ())),
            cuts=tuple(self._cuts.get(row, ())),
            marks=_marks(needs, self.policy, row),
            joints=connections(self.result.made, self.policy, self.catalogue, row),
            thicker=thicker_of(self.result.order.thicker(row), self.catalogue),
            strike=strike_of(self.result.strike, row),
            strike_aboard=strike_of(self.result.strike_aboard, row),
            ride=ride_of(self.result.ride, row),
            since=self.notes.get(entry.entry_no),
            papers=self.papers(row),
            told=self._told(row),
            recovery=self._recovery(row),
            share=self._shares.of(row),
            getting=getting_of(self.result, row),
            days=self.days,
            today=self.result.today,
        )

    def _told(self, row: int) -> Handling:
        """What she is told of its use."""
        plan = self._plans.get(row)
        needs = self.result.requirements
        return handling_of(self.fleet, needs, plan.choice if plan else "nothing", self.policy, row)

    def _recovery(self, row: int) -> tuple[RecoveryRope, ...]:
        """What she gets it back with."""
        if not self.computed(row):
            return ()
        return recovery_ropes(self.fleet, self.result.made, self.policy, self.catalogue, row)

    def _diameter(self, rope: IntArray, row: int) -> float:
        place = int(rope[row])
        return float("nan") if place == MISSING else float(self.catalogue.ropes.diameter_m[place])


def redacted(entry: Entry, private: tuple[str, ...]) -> Entry:
    """Return the entry as it may be published."""

    def clean(text: str) -> str:
        return redact(text, private)

    return replace(
        entry,
        design=clean(entry.design),
        berth=clean(entry.berth),
        sail_no=clean(entry.sail_no),
        as_written={name: clean(text) for name, text in entry.as_written.items()},
        remarks=tuple(clean(text) for text in entry.remarks),
        warnings=tuple(clean(text) for text in entry.warnings),
    )


def _marks(needs: RequirementColumns, policy: Policy, row: int) -> tuple[Mark, ...]:
    if row in needs.not_computed:
        return ()
    table = marks_table(needs, policy, row)
    columns = (table.number, table.section, table.in_section_m, table.distance_m)
    return tuple(map(Mark, *(column.tolist() for column in columns)))


def _name(names: tuple[str, ...], position: IntArray, row: int) -> str:
    place = int(position[row])
    return "" if place == MISSING else names[place]
