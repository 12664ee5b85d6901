"""Lists as clubs export them: how many are taken whole at first try, and that no value of them is wrong."""

from __future__ import annotations

import pytest

from sizing.errors import InputError
from sizing.intake import read_fleet
from tests.sizing.intake.club_sheets import SHEETS, ClubSheet, Truth, club_sheets
from tests.sizing.intake.sheets import TODAY

SHARE = 0.95
"""Of all sheets, those that have to be taken whole without anybody's help."""


def wrong_of(sheet: ClubSheet) -> tuple[list[str], bool]:
    """Values that are not the truth, and whether all boats were taken."""
    try:
        result = read_fleet(sheet.data, sheet.filename, today=TODAY)
    except InputError:
        return [], False
    fleet = result.fleet
    truth = {boat.entry_no: boat for boat in sheet.boats}
    wrong = []
    for row, number in enumerate(fleet.text["entry_no"].to_list()):
        boat: Truth | None = truth.get(number)
        if boat is None:
            wrong.append(f"entry {number}")
            continue
        if fleet.text["boat_name"][row] != boat.name or int(fleet.choice["boat_type"][row]) != boat.type_code:
            wrong.append(f"{number}: name or type")
        for name, value, exact in (
            ("loa_m", boat.loa_m, 0.004), ("beam_m", boat.beam_m, 0.004),
            ("transom_width_m", boat.transom_m, 0.004),
            ("displacement_kg", boat.displacement_kg, 1.0),
        ):  # fmt: skip
            read = float(fleet.number[name][row])
            if read == read and abs(read - value) > exact:  # noqa: PLR0124  a blank is no wrong value
                wrong.append(f"{number}: {name} {read} for {value}")
        if fleet.choice_words("displacement_basis", row) not in (None, boat.basis):
            wrong.append(f"{number}: basis")
        if fleet.number["made_year"][row] == fleet.number["made_year"][row]:
            wrong.append(f"{number}: a year of the drogue, of which the sheet says nothing")
    return wrong, result.rows_in == len(fleet) == len(sheet.boats)


def test_sheets_are_taken_whole_and_no_value_is_wrong() -> None:
    found = {sheet.filename: wrong_of(sheet) for sheet in club_sheets()}
    assert len(found) == SHEETS
    assert {name: wrong for name, (wrong, _) in found.items() if wrong} == {}
    whole = [name for name, (_, all_taken) in found.items() if all_taken]
    assert len(whole) >= SHARE * SHEETS, sorted(set(found) - set(whole))


@pytest.mark.thorough
def test_the_sheets_are_the_same_each_time() -> None:
    assert [one.boats for one in club_sheets()] == [one.boats for one in club_sheets()]
