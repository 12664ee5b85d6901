"""Waivers for boats whose rows are rejected today: they wait, and stop nobody else's run."""

from __future__ import annotations

from dataclasses import replace

from sizing.entry_key import entry_key
from sizing.model import IntakeResult
from sizing.revision.rejected import canonical_names, rejected_cells
from sizing.story import RallyRules


def without_waivers_of_rejected_rows(rules: RallyRules, intake: IntakeResult) -> tuple[RallyRules, list[str]]:
    """Return the rules without the waivers of rejected rows, and a note on each of these.

    A waiver for an entry number that stands nowhere in the sheet stays, and is refused as the slip it may be.
    """
    names = canonical_names(intake.header)
    accepted = {entry_key(str(entry)) for entry in intake.fleet.text["entry_no"]}
    rejected = {entry_key(rejected_cells(row, names).get("entry_no", "")) for row in intake.rejected}
    waiting = rejected - accepted - {""}
    idle = [waiver for waiver in rules.policy.waivers if entry_key(waiver.entry_no) in waiting]
    if not idle:
        return rules, []
    kept = tuple(waiver for waiver in rules.policy.waivers if waiver not in idle)
    notes = [
        f"The waiver of {waiver.check} for entry {waiver.entry_no} waits: her row is rejected."
        for waiver in idle
    ]
    return replace(rules, policy=rules.policy.model_copy(update={"waivers": kept})), notes
