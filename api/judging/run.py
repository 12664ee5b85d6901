"""Running the engine: over one boat for an answer at once, over the fleet for all that is made of it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from pydantic import ValidationError

from api.judging.as_found import as_found
from api.judging.documents import BoatDocuments, boat_documents
from api.judging.identity import boat_id
from api.judging.measured import in_force
from api.judging.required import RequiredMemo
from api.judging.sheet import BoatCells, Sheet, as_entered, cells_of, one_boat, replace_rows, sheet_of
from api.settings import Settings
from sizing.drogue.strike_fleet import StrikePlan
from sizing.intake import DEFAULT_LIMITS, Limits, read_fleet
from sizing.model import FleetColumns, IntakeResult, MusterResult
from sizing.policy import Waiver
from sizing.progress import Progress, silent
from sizing.story import Judged, RallyRules, conclude, judge


@dataclass(frozen=True)
class Scrutiny:
    """What was recorded about one boat and counts: measurements in order, and waivers."""

    measurements: tuple[tuple[Mapping[str, Any], ...], ...] = ()
    waivers: tuple[Waiver, ...] = ()

    @property
    def as_found(self) -> dict[str, str]:
        """Cells as found."""
        return in_force(self.measurements)

    @property
    def found(self) -> dict[str, Mapping[str, Any]]:
        """The measurement in force of each column."""
        return {str(one["field"]): one for several in self.measurements for one in several}


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

    def boat(self, sheet: Sheet, boat: BoatCells, scrutiny: Scrutiny, today: dt.date) -> BoatDocuments:
        """Judge one boat with what was found aboard; MeasurementError where that cannot be."""
        intake = one_boat(sheet, boat, scrutiny.as_found, today)
        if scrutiny.found:
            fleet = as_found(intake.fleet, as_entered(intake.fleet, boat), {0: texts_of(scrutiny)})
            intake = replace(intake, fleet=fleet)
        return self._judged(intake, boat, scrutiny.waivers, scrutiny.found, today)

    def what_if(
        self, sheet: Sheet, boat: BoatCells, cells: Mapping[str, str], today: dt.date
    ) -> BoatDocuments:
        """Judge one boat as she would be with other cells; nothing is kept."""
        intake = one_boat(sheet, boat, cells, today)
        return self._judged(intake, boat, (), {}, today)

    def fleet(
        self,
        content: bytes,
        filename: str,
        scrutiny: Mapping[str, Scrutiny],
        today: dt.date,
        progress: Progress = silent,
    ) -> FleetRun:
        """Read a fleet file and judge every boat with what was found aboard; `scrutiny` goes by boat id.

        Raises InputError where the file as a whole cannot be used, PolicyError where the rules do not fit.
        """
        intake = read_fleet(content, filename, today=today, limits=self.limits, progress=progress)
        sheet, cells = sheet_of(intake, filename), cells_of(intake.fleet)
        keys = [boat_id(str(entry)) for entry in intake.fleet.text["entry_no"]]
        boats = {
            row: one_boat(sheet, cells[row], scrutiny[key].as_found, today).fleet
            for row, key in enumerate(keys)
            if key in scrutiny and scrutiny[key].as_found
        }
        progress("Judging boats", 0, 1)
        notes = waivers_elsewhere(self.rules.policy.waivers, scrutiny, keys)
        texts = {row: texts_of(scrutiny[keys[row]]) for row in boats}
        judged_as = as_found(replace_rows(intake.fleet, boats), intake.fleet, texts)
        found = replace(intake, fleet=judged_as, file_notes=(*intake.file_notes, *notes))
        waivers = tuple(waiver for key in keys if key in scrutiny for waiver in scrutiny[key].waivers)
        rules = self._with_waivers(waivers, found.fleet)
        judged = judge(found, rules, today, self.strikes, progress)
        progress("Judging boats", 1, 1)
        return FleetRun(found, sheet, tuple(cells), tuple(keys), judged, rules, dict(scrutiny))

    def finish(self, run: FleetRun, today: dt.date, progress: Progress = silent) -> MusterResult:
        """Plan every boat, build the order, and put the whole result together."""
        return conclude(
            run.intake, run.judged, run.rules,
            today=today, cutting_seconds=self.cutting_seconds, progress=progress,
        )  # fmt: skip

    def _judged(
        self,
        intake: IntakeResult,
        boat: BoatCells,
        waivers: Sequence[Waiver],
        found: Mapping[str, Mapping[str, Any]],
        today: dt.date,
    ) -> BoatDocuments:
        rules = self._with_waivers(waivers, intake.fleet)
        judged = judge(intake, rules, today, self.strikes, required=self.required.of(intake.fleet))
        return boat_documents(judged, rules, 0, boat, found)

    def _with_waivers(self, added: Sequence[Waiver], fleet: FleetColumns) -> RallyRules:
        """The rules with further waivers, and without those of the policy about boats that are not there.

        A server works for several fleets by one policy file, so that its waivers may be about another fleet.
        """
        policy = self.rules.policy
        here = {boat_id(str(entry)) for entry in fleet.text["entry_no"]}
        own = [w for w in policy.waivers if boat_id(w.entry_no) in here]
        return replace(self.rules, policy=policy.model_copy(update={"waivers": (*own, *added)}))


@dataclass(frozen=True)
class FleetRun:
    """A fleet as read and judged, with what is needed to judge each of its boats again."""

    intake: IntakeResult
    sheet: Sheet
    cells: tuple[BoatCells, ...]
    keys: tuple[str, ...]
    judged: Judged
    rules: RallyRules
    scrutiny: Mapping[str, Scrutiny]

    def documents(self, row: int) -> BoatDocuments:
        """Everything the interface says about boat `row`."""
        found = self.scrutiny.get(self.keys[row], Scrutiny()).found
        return boat_documents(self.judged, self.rules, row, self.cells[row], found)


def texts_of(scrutiny: Scrutiny) -> dict[str, str]:
    """What was found of each column, as the scrutineer wrote it."""
    return {name: str(one["text"]) for name, one in scrutiny.found.items()}


def waivers_elsewhere(
    policy: Sequence[Waiver], scrutiny: Mapping[str, Scrutiny], keys: Sequence[str]
) -> list[str]:
    """A sentence for every waiver that counts for no boat of a fleet with these ids."""
    here = set(keys)
    told = [("in the policy file", w) for w in policy if boat_id(w.entry_no) not in here]
    told += [("given to this fleet", w) for key in scrutiny if key not in here for w in scrutiny[key].waivers]
    return [
        f"A waiver {where} is about entry “{w.entry_no}” ({w.check}, by {w.officer}), and no accepted boat "
        "of this fleet has that entry number: it sets nothing aside here."
        for where, w in told
    ]


def waiver_of(entry_no: str, check: str, reason: str, officer: str, until: dt.date) -> Waiver | None:
    """A waiver as the policy knows it; None where the engine's own bounds refuse it."""
    try:
        return Waiver(entry_no=entry_no, check=check, reason=reason, officer=officer, until=until)
    except ValidationError:
        return None
