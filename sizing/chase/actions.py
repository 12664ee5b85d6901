"""What has still to be done before departure: whose it is, by when, and which findings it closes."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Final

import numpy as np

from sizing.audit import SPECS, VOICES, Voiced, fact, findings_of, in_voices
from sizing.chase.dates import Due, Stage
from sizing.chase.getting import getting_of
from sizing.chase.jobs import OWNERS, Job, jobs_of, last_days, owner_of, stage_of, stage_with
from sizing.entry_key import entry_key
from sizing.intake import rejected_cells
from sizing.model import (
    BoolArray,
    Finding,
    Level,
    MendPlan,
    MusterResult,
    Owner,
    RejectedRow,
    Standing,
)
from sizing.policy import Policy
from sizing.revision.natural import natural_key

WAIVER_ENDS: Final = "a waiver ends"


@dataclass(frozen=True)
class Action:
    """One thing for one person to do for one boat.

    `said` is the sentence in each voice. `row` is the accepted boat's, None for a rejected row. `checks` are
    the findings it is about; every open finding of a boat is in one action at least, and what stays below an
    advised limit.
    """

    id: str
    row: int | None
    row_no: int
    entry_no: str
    boat_name: str
    berth: str
    owner: Owner
    stage: Stage
    level: Level
    said: Voiced
    checks: tuple[str, ...]
    due: Due
    overdue: bool

    @property
    def sentence(self) -> str:
        """What is to be done, as officers read it."""
        return self.said["her"]


def chase_actions(result: MusterResult, policy: Policy) -> tuple[Action, ...]:
    """Return every action of the fleet: those due first before the others, then by boat and by owner.

    A day is over when it is before the day the run is for.
    """
    chaser = _Chaser(result, policy)
    found = [action for row in range(len(result.intake.fleet)) for action in chaser.of_boat(row)]
    found += chaser.of_rejected()
    return tuple(sorted(found, key=_order))


def boat_actions(actions: Iterable[Action]) -> dict[int, tuple[Action, ...]]:
    """Return the actions by row of the accepted boats, each in the order given."""
    by_row: dict[int, list[Action]] = {}
    for action in actions:
        if action.row is not None:
            by_row.setdefault(action.row, []).append(action)
    return {row: tuple(found) for row, found in by_row.items()}


def _order(action: Action) -> tuple[object, ...]:
    return (
        action.due.day or date.max, natural_key(action.entry_no), action.row_no,
        OWNERS.index(action.owner), action.level == "should", action.id,
    )  # fmt: skip


class OpenFindings:
    """Knows which checks are open for which boat."""

    def __init__(self, result: MusterResult) -> None:
        self._checks = result.checks
        self._fleet = result.intake.fleet
        nobody = np.zeros((0, len(self._fleet)), dtype=np.bool_)
        self._open = np.vstack([nobody, *(check.is_open for check in result.checks)])
        self._below = np.vstack([nobody, *(check.below_advised for check in result.checks)])

    def of(self, row: int) -> tuple[Finding, ...]:
        """Return the open findings of boat `row`, in the order of the checks."""
        return self._findings(self._open[:, row], row)

    def below_advised(self, row: int) -> tuple[Finding, ...]:
        """Return those with nothing open that are not shown to reach what is advised besides."""
        return self._findings(self._below[:, row], row)

    def _findings(self, of_these: BoolArray, row: int) -> tuple[Finding, ...]:
        checks = [self._checks[place] for place in np.flatnonzero(of_these)]
        return findings_of(checks, self._fleet, row)


class _Chaser:
    """Makes the actions of one boat after another from a run's result."""

    def __init__(self, result: MusterResult, policy: Policy) -> None:
        self._result = result
        self._policy = policy
        self._open = OpenFindings(result)
        self._plans = {plan.row: plan for plan in result.plans}
        self._due = last_days(result, policy)
        text = result.intake.fleet.text
        self._entry_nos, self._names, self._berths = (
            [str(value) for value in text[name]] for name in ("entry_no", "boat_name", "berth")
        )

    def of_boat(self, row: int) -> Iterator[Action]:
        """All that has to be done for one boat."""
        result = self._result
        findings = self._open.of(row)
        plan = self._plans.get(row)
        reason = result.requirements.not_computed.get(row)
        if reason is not None:
            said = in_voices("Find out with [you] why what [she] needs cannot be worked out: {}", reason)
            yield self._action(row, Job("safety officer", "orders", "shall", said, ()), "not-computed")
        if plan and plan.groups:
            settled = tuple(f.check.id for f in findings if plan.settles(f.id))
            load = float(result.requirements.chosen_attachment_n[row])
            for job in jobs_of(plan, settled, load, getting_of(result, row)):
                yield self._action(row, job, job.stage)
        for finding in findings:
            if not (plan and plan.settles(finding.id)):
                yield self._action(row, self._by_hand(finding, plan, findings), finding.check.id)
        for finding in self._open.below_advised(row):
            parts = SPECS[finding.check.id].parts
            if not (plan and parts and set(parts) <= set(plan.groups)):  # new gear is chosen for it
                names = (finding.check.id,)
                job = Job(owner_of(finding), stage_of(finding), "should", _by_words(finding), names)
                yield self._action(row, job, finding.check.id)
        yield from self._waivers(row)

    def _by_hand(self, finding: Finding, plan: MendPlan | None, findings: Sequence[Finding]) -> Job:
        """An open finding that no part of the order closes."""
        parts = SPECS[finding.check.id].parts
        said = _by_words(finding)
        short = finding.standing is not Standing.UNPROVEN
        if short and parts and not (plan and set(parts) <= set(plan.groups)):
            said = _by_words(
                finding, " The bulk order holds no part for this: ask for it before the order closes."
            )
        stage = stage_with(finding, plan, findings)
        return Job(owner_of(finding), stage, finding.check.level, said, (finding.check.id,))

    def _waivers(self, row: int) -> Iterator[Action]:
        entry_no = self._entry_nos[row]
        departure = self._policy.rally.departure
        for waiver in self._policy.waivers:
            same_boat = entry_key(waiver.entry_no) == entry_key(entry_no)
            if not same_boat or departure is None or waiver.until >= departure:
                continue
            for check in self._result.checks:
                if check.check.id == waiver.check and check.standing[row] == Standing.WAIVED:
                    words = (
                        "The waiver of {} by {} ends before departure: renew it, or have it mended or shown."
                    )
                    said = in_voices(words, waiver.check, waiver.officer)
                    job = Job("safety officer", "departure", check.check.level, said, (waiver.check,))
                    yield self._action(row, job, "waiver", Due(waiver.until, WAIVER_ENDS))

    def of_rejected(self) -> Iterator[Action]:
        """Rows that could not be taken: the office has them put right before the order closes."""
        names = self._result.intake.columns
        for row in self._result.intake.rejected:
            cells = rejected_cells(row, names)
            due = self._due["orders"]
            yield Action(
                id=f"row-{row.row_no}/safety officer/rejected",
                row=None,
                row_no=row.row_no,
                entry_no=cells.get("entry_no", ""),
                boat_name=cells.get("boat_name", ""),
                berth=cells.get("berth", ""),
                owner="safety officer",
                stage="orders",
                level="shall",
                said=in_voices("{}", _rejected_sentence(row)),
                checks=(),
                due=due,
                overdue=due.is_over(self._result.today),
            )

    def _action(self, row: int, job: Job, what: str, due: Due | None = None) -> Action:
        entry_no = self._entry_nos[row]
        due = due or self._due[job.stage]
        return Action(
            id=f"{entry_no}/{job.owner}/{what}",
            row=row,
            row_no=int(self._result.intake.fleet.row_no[row]),
            entry_no=entry_no,
            boat_name=self._names[row],
            berth=self._berths[row],
            owner=job.owner,
            stage=job.stage,
            level=job.level,
            said=job.said,
            checks=job.checks,
            due=due,
            overdue=due.is_over(self._result.today),
        )


def _by_words(finding: Finding, more: str = "") -> Voiced:
    """How she stands, and what to do about it, in each voice."""
    return {voice: f"{fact(finding, voice)} {finding.advice}".strip() + more for voice in VOICES}


def _rejected_sentence(row: RejectedRow) -> str:
    columns = ", ".join(dict.fromkeys(error.column or "the row as a whole" for error in row.errors))
    return (
        f"Row {row.row_no} of the sheet could not be taken, and nothing is sized or ordered for this "
        f"boat: have it put right ({columns}); rejects.csv says how."
    )
