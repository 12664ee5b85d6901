"""Everything the site says about one boat, in one frozen facts, without contact details."""

from __future__ import annotations

import math
import re
from collections import defaultdict
from collections.abc import Collection, Mapping
from dataclasses import dataclass, fields, replace
from datetime import date
from decimal import Decimal
from functools import cached_property
from typing import Final, NamedTuple

import numpy as np

from sitegen.addresses import boat_address, boat_slugs
from sitegen.pages.changes import SinceNote
from sitegen.pages.parts import BoatStanding, standing_of
from sizing.audit import SPECS, findings_of, overall
from sizing.catalogue import Catalogue
from sizing.chase import Due, Stage, last_days
from sizing.drogue.connections import connections
from sizing.drogue.marks import marks_table
from sizing.drogue.working import requirement_of
from sizing.entry_key import entry_key
from sizing.intake import canonical_names, rejected_cells
from sizing.model import (
    ConeSize,
    Entry,
    Finding,
    IntakeResult,
    IntArray,
    Joint,
    MendPlan,
    MusterResult,
    Piece,
    Requirement,
    RequirementColumns,
    RideColumns,
    Standing,
    StrikeColumns,
)
from sizing.order import allocate
from sizing.papers.names import BoatPaper, papers_of
from sizing.policy import Policy, Waiver
from sizing.privacy import private_boats, private_refused
from sizing.redaction import SHORTEST_PRIVATE, occurring, private_values, redact
from sizing.seamanship.handling import Handling, handling_of
from sizing.seamanship.recovery import RecoveryRope, recovery_ropes

MISSING: Final = -1
NAMED: Final = ("boat_name", "sail_no")
"""What a boat is known by beside her entry number."""


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
class Strike:
    """The wave strike on one boat; `history` is (time s, bridle load N, boat speed m/s).

    `quantiles_n` are the peaks of the varied strikes, each for an equal share of `samples`; none without any.
    """

    reason_not_computed: str
    reason_not_sampled: str
    peak_n: float
    peak_time_s: float
    boat_speed_mps: float
    distance_m: float
    head_peak_n: tuple[float, ...]
    median_n: float
    p90_n: float
    quantiles_n: tuple[float, ...]
    samples: int
    share_above: tuple[tuple[str, float], ...]
    share_above_published: tuple[tuple[str, float], ...]
    sensitivity: tuple[tuple[str, float], ...]
    history: tuple[tuple[float, ...], tuple[float, ...], tuple[float, ...]] | None


@dataclass(frozen=True)
class Ride:
    """Lying to the drogue between strikes: loads at the bridle in the policy's regular sea."""

    reason_not_computed: str
    greatest_n: float
    least_n: float
    mean_n: float
    slack_share: float
    cycles_per_hour: float
    working_share: float
    storm_hours: float


class ShareLine(NamedTuple):
    """What one thing of the order costs one boat."""

    description: str
    amount: Decimal | None
    priced: bool


@dataclass(frozen=True)
class Share:
    """A boat's share of what is bought for the fleet; `amount` is None where nothing of it has a price."""

    amount: Decimal | None
    currency: str
    lines: tuple[ShareLine, ...]

    @property
    def whole(self) -> bool:
        """Whether everything of it has a price."""
        return all(line.priced for line in self.lines)


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
    pieces: tuple[Piece, ...]
    cuts: tuple[CutPlace, ...]
    marks: tuple[Mark, ...]
    joints: tuple[Joint, ...]
    strike: Strike | None
    strike_aboard: Strike | None
    ride: Ride | None
    since: SinceNote | None
    told: Handling | None
    recovery: tuple[RecoveryRope, ...]
    share: Share
    days: Mapping[Stage, Due]
    today: date
    papers: tuple[BoatPaper, ...] = ()

    @property
    def computed(self) -> bool:
        """Whether her figures could be computed."""
        return not self.requirement.reason_not_computed

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
        self.private = private_boats(self.fleet, policy)
        self.refused_private = private_refused(result.intake, policy)
        self._slugs = boat_slugs(entry_numbers, self.private, key)
        self.hidden = hidden_names(result.intake, self.private, self.refused_private)
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
        self._shares: dict[int, dict[str, ShareLine]] = defaultdict(dict)
        amounts = allocate(result.order.lines)
        for line in result.order.lines:
            for row in line.boats:
                before = self._shares[row].get(line.item)
                priced = line.amount is not None and (before is None or before.priced)
                amount = amounts.get(line.item, {}).get(row)
                self._shares[row][line.item] = ShareLine(line.description, amount, priced)
        self._pieces: dict[int, list[Piece]] = defaultdict(list)
        for piece in result.order.pieces:
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
        wanted = np.zeros(len(self.fleet), dtype=np.bool_)
        for column in self.result.checks:
            if column.check.level == "shall" and SPECS[column.check.id].parts:
                wanted |= column.standing == Standing.UNPROVEN
        return frozenset(np.flatnonzero(wanted).tolist())

    def is_public(self, row: int) -> bool:
        """Whether boat `row` stands in the lists of the site."""
        return row not in self.private

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

    def papers(self, row: int) -> tuple[BoatPaper, ...]:
        """The papers that lie beside the page of boat `row`."""
        return self._papers.get(row, ())

    @cached_property
    def hidden_entries(self) -> frozenset[str]:
        """Entry numbers of private boats, as they are compared; of no boat that is public."""
        entries = [entry_key(str(entry or "")) for entry in self.fleet.text["entry_no"]]
        names = canonical_names(self.result.intake.header)
        refused = [row for row in self.result.intake.rejected if row.row_no in self.refused_private]
        found = {entries[row] for row in self.private}
        found |= {entry_key(rejected_cells(row, names).get("entry_no", "")) for row in refused}
        return frozenset(found - {entries[row] for row in range(len(entries)) if self.is_public(row)} - {""})

    def names_private(self, text: str) -> bool:
        """Whether a sentence names a private boat, by what she is called or as entry so and so."""
        folded = text.casefold()
        words = set(re.findall(r"[^\s“”\"',;:()]+", folded))
        return (
            bool(words & self.hidden_entries)
            or any(entry in folded for entry in self.hidden_entries if " " in entry)
            or any(name.casefold() in folded for name in self.hidden)
        )

    def left_out(self, row: int) -> tuple[str, ...]:
        """What is taken out of boat `row`'s texts: her contact details, and what names a private boat."""
        hers = private_values(self.fleet, row)
        if not self.hidden or not self.is_public(row):
            return hers
        entry = self.fleet.entry(row)
        waived = (w.reason for w in self.policy.waivers if entry_key(w.entry_no) == entry_key(entry.entry_no))
        texts = (*entry.as_written.values(), *entry.remarks, *entry.warnings, *waived)
        return (*hers, *occurring(self.hidden, "\n".join(texts)))

    def own(self, row: int) -> tuple[object, ...]:
        """What goes into the facts of boat `row` beside the columns of the result."""
        entry = self.fleet.entry(row)
        return (
            self.slug(row),
            entry,
            self.left_out(row),
            self.is_public(row),
            self._plans.get(row),
            self._pieces.get(row),
            self._cuts.get(row),
            self.notes.get(entry.entry_no),
            self._share_lines(row),
            self._days,
            self.papers(row),
        )

    def _share(self, row: int) -> Share:
        order = self.result.order
        return Share(order.boat_totals.get(row), order.currency, self._share_lines(row))

    def _share_lines(self, row: int) -> tuple[ShareLine, ...]:
        return tuple(self._shares[row].values()) if row in self._shares else ()

    def facts(self, row: int) -> BoatFacts:
        """Everything about boat `row`."""
        entry = self.fleet.entry(row)
        private = self.left_out(row)
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
            pieces=tuple(self._pieces.get(row, ())),
            cuts=tuple(self._cuts.get(row, ())),
            marks=_marks(needs, self.policy, row),
            joints=connections(needs, self.policy, self.catalogue, row),
            strike=strike_of(self.result.strike, row),
            strike_aboard=strike_of(self.result.strike_aboard, row),
            ride=ride_of(self.result.ride, row),
            since=self.notes.get(entry.entry_no),
            papers=self.papers(row),
            told=self._told(row),
            recovery=self._recovery(row),
            share=Share(
                self.result.order.boat_totals.get(row), self.result.order.currency, self._share_lines(row)
            ),
            days=self.days,
            today=self.result.today,
        )

    def _told(self, row: int) -> Handling | None:
        """What she is told of its use; nothing without figures."""
        if not self.computed(row):
            return None
        plan = self._plans.get(row)
        needs = self.result.requirements
        return handling_of(self.fleet, needs, plan.choice if plan else "nothing", self.policy, row)

    def _recovery(self, row: int) -> tuple[RecoveryRope, ...]:
        """What she gets it back with."""
        if not self.computed(row):
            return ()
        return recovery_ropes(self.fleet, self.result.requirements, self.policy, self.catalogue, row)

    def _diameter(self, rope: IntArray, row: int) -> float:
        place = int(rope[row])
        return float("nan") if place == MISSING else float(self.catalogue.ropes.diameter_m[place])


def hidden_names(intake: IntakeResult, private: Collection[int], refused: Collection[int]) -> tuple[str, ...]:
    """Return names and sail numbers of private boats: they are taken out of what others wrote.

    What also stands in a public boat's name, sail number or design tells nobody of the private one.
    """
    if not private and not refused:
        return ()
    text = intake.fleet.text
    said = [str(text[name][row] or "") for name in NAMED for row in sorted(private)]
    names = canonical_names(intake.header)
    for row in intake.rejected:
        if row.row_no in refused:
            cells = rejected_cells(row, names)
            said += [cells.get(name, "") for name in NAMED]
    public = [row for row in range(len(intake.fleet)) if row not in private]
    of_others = "\n".join(
        str(text[name][row] or "") for name in (*NAMED, "design") for row in public
    ).casefold()
    hidden = {name.strip() for name in said}
    return tuple(sorted(n for n in hidden if len(n) >= SHORTEST_PRIVATE and n.casefold() not in of_others))


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


def strike_of(strike: StrikeColumns | None, row: int) -> Strike | None:
    """Return one boat's wave strike, None where no strike was run."""
    if strike is None:
        return None
    history = strike.history.get(row)
    return Strike(
        reason_not_computed=strike.not_computed.get(row, ""),
        reason_not_sampled=strike.not_sampled.get(row, ""),
        peak_n=float(strike.peak_n[row]),
        peak_time_s=float(strike.peak_time_s[row]),
        boat_speed_mps=float(strike.boat_speed_mps[row]),
        distance_m=float(strike.distance_m[row]),
        head_peak_n=tuple(strike.head_peak_n[row].tolist()),
        median_n=float(strike.median_n[row]),
        p90_n=float(strike.p90_n[row]),
        quantiles_n=tuple(filter(math.isfinite, strike.peak_quantiles_n[row].tolist())),
        samples=strike.samples,
        share_above=tuple((name, float(column[row])) for name, column in strike.share_above.items()),
        share_above_published=tuple(
            (name, float(column[row])) for name, column in strike.share_above_published.items()
        ),
        sensitivity=tuple((name, float(column[row])) for name, column in strike.sensitivity.items()),
        history=None if history is None else tuple(tuple(part.tolist()) for part in history),  # type: ignore[arg-type]
    )


def ride_of(ride: RideColumns | None, row: int) -> Ride | None:
    """Return one boat's ride, None where none was computed."""
    if ride is None:
        return None
    columns = [field.name for field in fields(Ride) if field.name != "reason_not_computed"]
    return Ride(ride.not_computed.get(row, ""), **{name: float(getattr(ride, name)[row]) for name in columns})


def _marks(needs: RequirementColumns, policy: Policy, row: int) -> tuple[Mark, ...]:
    if row in needs.not_computed:
        return ()
    table = marks_table(needs, policy, row)
    columns = (table.number, table.section, table.in_section_m, table.distance_m)
    return tuple(map(Mark, *(column.tolist() for column in columns)))


def _name(names: tuple[str, ...], position: IntArray, row: int) -> str:
    place = int(position[row])
    return "" if place == MISSING else names[place]
