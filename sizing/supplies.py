"""How each boat gets the parts she is short of: what the list says, and what was recorded beside it."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from sizing.entry_key import entry_key
from sizing.intake import another_way
from sizing.model import FleetColumns, Supply


def supplies_of(fleet: FleetColumns, said: Mapping[str, Supply] | None = None) -> tuple[Supply, ...]:
    """Return what was said of how each boat gets her parts, by row.

    `said` is what was recorded beside the list, by the key of the entry number. Of the two the one said on
    the later day counts; what has no day, or the same, gives way to what was recorded.
    """
    recorded = said or {}
    return tuple(
        _later(_of_sheet(fleet, row), recorded.get(entry_key(str(fleet.text["entry_no"][row]))))
        for row in range(len(fleet))
    )


def _of_sheet(fleet: FleetColumns, row: int) -> Supply:
    word = fleet.choice_words("gear_supply", row)
    if word is None:
        return Supply(another_way=another_way(str(fleet.text["notes"][row] or "")))
    day = fleet.value("gear_supply_date_day", row)
    by = str(fleet.text["gear_supply_by"][row] or "")
    return Supply(word, None if day is None else date.fromordinal(int(day)), by, "sheet")


def _later(listed: Supply, recorded: Supply | None) -> Supply:
    if recorded is None:
        return listed
    newer = listed.word and listed.day and recorded.day and listed.day > recorded.day
    return listed if newer else recorded
