"""Waivers that set nothing aside, since she is not on the list or needs none: each is said."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from difflib import get_close_matches
from typing import Final

from sizing.entry_key import entry_key
from sizing.intake import rejected_cells
from sizing.model import CheckColumns, FleetColumns, IntakeResult, Standing
from sizing.policy import Waiver

MOST_ALIKE: Final = 3


def waivers_here(
    waivers: Iterable[Waiver], intake: IntakeResult
) -> tuple[tuple[Waiver, ...], tuple[str, ...]]:
    """Return the waivers about accepted boats of a list, and a sentence on each of the others.

    A boat may have withdrawn, her row may be rejected, or her entry number may be a slip: nobody else's run
    stops for it.
    """
    accepted = {entry_key(str(entry)): str(entry) for entry in intake.fleet.text["entry_no"]}
    names = intake.columns
    rejected = {entry_key(rejected_cells(row, names).get("entry_no", "")) for row in intake.rejected}
    kept: list[Waiver] = []
    said: list[str] = []
    for waiver in waivers:
        key = entry_key(waiver.entry_no)
        if key in accepted:
            kept.append(waiver)
        elif key in rejected:
            said.append(
                f"The waiver of {waiver.check} for entry {waiver.entry_no} waits: her row is rejected."
            )
        else:
            said.append(_elsewhere(waiver, key, accepted))
    return tuple(kept), tuple(said)


def _elsewhere(waiver: Waiver, key: str, accepted: dict[str, str]) -> str:
    alike = [f"“{accepted[one]}”" for one in get_close_matches(key, accepted, MOST_ALIKE)]
    slip = f" If it is a slip, the list has {' and '.join(alike)}." if alike else ""
    return (
        f"The waiver of {waiver.check} for entry “{waiver.entry_no}”, by {waiver.officer}, sets nothing "
        f"aside: no accepted boat of this list has that entry number.{slip}"
    )


def needless_waivers(
    waivers: Iterable[Waiver], fleet: FleetColumns, checks: Sequence[CheckColumns]
) -> tuple[str, ...]:
    """Return a sentence on each waiver of what meets or does not apply."""
    rows = {entry_key(str(entry)): row for row, entry in enumerate(fleet.text["entry_no"])}
    words = {Standing.MEETS: "she meets it", Standing.NOT_APPLICABLE: "it does not apply to her"}
    by_id = {check.check.id: check for check in checks}
    said = []
    for waiver in waivers:
        row, check = rows.get(entry_key(waiver.entry_no)), by_id.get(waiver.check)
        why = words.get(Standing(int(check.standing[row]))) if check and row is not None else None
        if why:
            said.append(f"The waiver of {waiver.check} for entry {waiver.entry_no} is not needed: {why}.")
    return tuple(said)
