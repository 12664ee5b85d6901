"""Running the engine: over one boat for an answer at once, over the fleet for all that is made of it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property

from pydantic import ValidationError

from api.judging.answered import Answer
from api.judging.documents import BoatDocuments, boat_documents
from api.judging.identity import boat_id
from api.judging.measured import Measured
from api.judging.required import RequiredMemo
from api.judging.sheet import BoatCells, FleetCells, boat_as_found, one_boat, replace_rows
from api.settings import Settings
from sizing.audit import OverallColumns, StageKey, boat_stages, overall
from sizing.drogue.strike_fleet import StrikePlan
from sizing.intake import DEFAULT_LIMITS, Limits
from sizing.model import FleetColumns, IntakeResult, MusterResult, Notation, Supply
from sizing.order import ClubStock
from sizing.policy import Waiver
from sizing.progress import Progress, silent
from sizing.story import NOTHING_SAID, Judged, RallyRules, conclude, judge, with_waivers


@dataclass(frozen=True)
class Scrutiny:
    """What was recorded about one boat: measurements in order, waivers, sign-offs, her skipper's answers.

    `answers` has the last of each column, whether or not it counts. `sign_offs` has each inspection by its
    id, with what the list said of the columns that its sign-off covers, or None where it is not signed off.
    """

    measurements: tuple[tuple[Measured, ...], ...] = ()
    waivers: tuple[Waiver, ...] = ()
    sign_offs: Mapping[str, Mapping[str, str] | None] = field(default_factory=dict)
    answers: Mapping[str, Answer] = field(default_factory=dict)

    @property
    def found(self) -> dict[str, Measured]:
        """The measurement in force of each column: the last one."""
        return {one.field: one for several in self.measurements for one in several}

    def answered(self, boat: BoatCells) -> dict[str, Answer]:
        """The answers that she is judged by, by column."""
        found = self.found
        return {name: one for name, one in self.answers.items() if one.counts(boat.cells, found)}

    def is_signed_off(self, boat: BoatCells) -> bool:
        """Whether all her inspections are signed off, and the list says of what they cover what it said."""
        return bool(self.sign_offs) and all(
            covered is not None
            and all(boat.cells.get(name, "").strip() == listed for name, listed in covered.items())
            for covered in self.sign_offs.values()
        )


@dataclass(frozen=True)
class Engine:
    """The rules of the rally, how much of the strike is simulated, and how much of an upload is read."""

    rules: RallyRules
    strikes: StrikePlan | None
    cutting_seconds: float
    required: RequiredMemo
    limits: Limits = DEFAULT_LIMITS

    @classmethod
    def of(cls, settings: Settings) -> Engine:
        """Read the rules that the settings name."""
        return cls.by(settings.rules(), settings)

    @classmethod
    def by(cls, rules: RallyRules, settings: Settings) -> Engine:
        """An engine for rules that were read before."""
        memo = RequiredMemo(rules, settings.strikes)
        limits = replace(DEFAULT_LIMITS, max_unpacked=settings.limits.unpacked_bytes)
        return cls(rules, settings.strikes, settings.cutting_seconds, memo, limits)

    def boat(self, notation: Notation, boat: BoatCells, scrutiny: Scrutiny, today: dt.date) -> BoatDocuments:
        """Judge one boat with what was found aboard; MeasurementError where that cannot be."""
        fleet = boat_as_found(boat, notation, scrutiny.found, scrutiny.answered(boat), today)
        return self._judged(fleet, boat, scrutiny, today)

    def what_if(
        self, notation: Notation, boat: BoatCells, found: Mapping[str, Measured], today: dt.date
    ) -> BoatDocuments:
        """Judge one boat as she would be with other cells; nothing is kept."""
        return self._judged(one_boat(boat, notation, found, today), boat, Scrutiny(), today)

    def judged(
        self,
        intake: IntakeResult,
        scrutiny: Mapping[str, Scrutiny],
        today: dt.date,
        progress: Progress = silent,
    ) -> FleetRun:
        """Judge every boat of a list that was read, with what was found aboard.

        Raises MeasurementError where a boat's new entry cannot be taken with it, PolicyError where the
        rules do not fit.
        """
        cells = FleetCells(intake.fleet)
        keys = [boat_id(str(entry)) for entry in intake.fleet.text["entry_no"]]
        boats = {
            row: boat_as_found(
                cells[row], intake.notation, scrutiny[key].found, scrutiny[key].answered(cells[row]), today
            )
            for row, key in enumerate(keys)
            if key in scrutiny and (scrutiny[key].found or scrutiny[key].answers)
        }
        progress("Judging boats", 0, 1)
        found = replace(intake, fleet=replace_rows(intake.fleet, boats))
        given = [waiver for recorded in scrutiny.values() for waiver in recorded.waivers]
        rules, found = with_waivers(self.rules, found, given)
        judged = judge(found.fleet, rules, today, self.strikes, progress)
        progress("Judging boats", 1, 1)
        return FleetRun(found, cells, tuple(keys), judged, rules, dict(scrutiny))

    def finish(
        self,
        run: FleetRun,
        today: dt.date,
        stock: ClubStock | None = None,
        said: Mapping[str, Supply] = NOTHING_SAID,
        progress: Progress = silent,
    ) -> MusterResult:
        """Plan every boat, order what is not in hand for those who agreed, and put the whole result together.

        `said` is what was said of how boats get their parts beside the list.
        """
        result = conclude(
            run.intake, run.judged, run.rules, today=today, stock=stock, said=said,
            cutting_seconds=self.cutting_seconds, progress=progress,
        )  # fmt: skip
        return replace(result, signed_off=run.signed_off)

    def _judged(
        self,
        fleet: FleetColumns,
        boat: BoatCells,
        scrutiny: Scrutiny,
        today: dt.date,
    ) -> BoatDocuments:
        found = scrutiny.found
        rules = self.rules.waiving((*self.rules.policy.waivers, *scrutiny.waivers))
        judged = judge(fleet, rules, today, self.strikes, required=self.required.of(fleet))
        whole = overall(judged.checks, fleet, {0: found})
        signed = {0} if scrutiny.is_signed_off(boat) else set()
        (stage,) = boat_stages(judged.checks, 1, judged.requirements.not_computed, signed)
        return boat_documents(judged, whole, rules, 0, boat, found, stage, scrutiny.answered(boat))


@dataclass(frozen=True)
class FleetRun:
    """A fleet as read and judged, with what is needed to judge each of its boats again."""

    intake: IntakeResult
    cells: FleetCells
    keys: tuple[str, ...]
    judged: Judged
    rules: RallyRules
    scrutiny: Mapping[str, Scrutiny]

    def documents(self, row: int) -> BoatDocuments:
        """Everything the interface says about boat `row`."""
        return boat_documents(
            self.judged, self.whole, self.rules, row, self.cells[row], self._found(row), self.stages[row],
            self.scrutiny.get(self.keys[row], Scrutiny()).answered(self.cells[row]),
        )  # fmt: skip

    @cached_property
    def signed_off(self) -> frozenset[int]:
        """Rows of the boats that are signed off."""
        rows = (row for row, key in enumerate(self.keys) if key in self.scrutiny)
        return frozenset(row for row in rows if self.scrutiny[self.keys[row]].is_signed_off(self.cells[row]))

    @cached_property
    def stages(self) -> tuple[StageKey, ...]:
        """The stage of each boat."""
        not_computed = self.judged.requirements.not_computed
        return boat_stages(self.judged.checks, len(self.keys), not_computed, self.signed_off)

    @cached_property
    def whole(self) -> OverallColumns:
        """How the boats stand as a whole; counted once, since every boat's document tells it of her."""
        measured = {row: self._found(row) for row in range(len(self.keys))}
        return overall(self.judged.checks, self.judged.context.fleet, measured)

    def _found(self, row: int) -> dict[str, Measured]:
        """The measurements in force of boat `row`."""
        return self.scrutiny.get(self.keys[row], Scrutiny()).found


def waiver_of(entry_no: str, check: str, reason: str, officer: str, until: dt.date) -> Waiver | None:
    """A waiver as the policy knows it; None where the engine's own bounds refuse it."""
    try:
        return Waiver(entry_no=entry_no, check=check, reason=reason, officer=officer, until=until)
    except ValidationError:
        return None
