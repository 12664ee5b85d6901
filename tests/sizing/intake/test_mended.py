"""Rejected rows, mended and put back into their sheet: the whole list, and nothing else of it changed."""

from __future__ import annotations

import csv
import io

import pytest

from sizing.errors import InputError
from sizing.intake import merge_mended, read_fleet, write_rejects
from sizing.model import IntakeResult
from tests.sizing.intake.sheets import TODAY, boat, rows_csv, sheet

BOATS = [boat(entry_no=f"{number:03}", boat_name=f"Boat {number}") for number in range(1, 9)]


def read(data: bytes) -> IntakeResult:
    return read_fleet(data, "fleet.csv", today=TODAY)


def rejects(result: IntakeResult) -> list[dict[str, str]]:
    text = io.StringIO()
    write_rejects(result, text)
    return list(csv.DictReader(io.StringIO(text.getvalue())))


def test_two_mended_rows_make_the_fleet_whole_and_keep_their_places() -> None:
    boats = [dict(one) for one in BOATS]
    boats[2]["displacement"] = "8400"
    boats[5]["loa"] = "?"
    data = b"Spring rally\r\n\r\n" + sheet(*boats[:4]) + b"\r\n" + sheet(*boats)[len(sheet(*boats[:4])) :]
    first = read(data)
    bad = rejects(first)
    assert [row["problem_row"] for row in bad] == ["6", "10"]
    bad[0]["displacement"], bad[1]["loa"] = "8400 kg", "11.6 m"
    merged = merge_mended(
        data, "fleet.csv", rows_csv([list(bad[0]), *(list(row.values()) for row in bad)]), "r.csv"
    )
    whole = read(merged.content)
    assert (whole.rows_in, len(whole.rejected)) == (8, 0)
    assert whole.fleet.text["entry_no"].to_list() == [one["entry_no"] for one in boats]
    assert whole.fleet.row_no.tolist() == [4, 5, 6, 7, 9, 10, 11, 12]
    assert merged.notes == (
        "2 mended rows of r.csv are put into fleet.csv: entry 003 (row 6), 006 (row 10).",
    )


def test_a_mended_entry_number_is_found_by_its_row() -> None:
    boats = [dict(one) for one in BOATS[:3]]
    boats[1]["entry_no"] = "001"
    first = read(sheet(*boats))
    bad = rejects(first)
    bad[1]["entry_no"] = "002"
    merged = merge_mended(
        sheet(*boats), "f.csv", rows_csv([list(bad[0]), *(list(r.values()) for r in bad)]), "r.csv"
    )
    assert read(merged.content).fleet.text["entry_no"].to_list() == ["001", "002", "003"]


def test_a_row_of_another_list_is_refused() -> None:
    with pytest.raises(InputError, match="entry “099” is not in the sheet"):
        merge_mended(sheet(*BOATS), "fleet.csv", sheet(boat(entry_no="099")), "r.csv")
    with pytest.raises(InputError, match="once more"):
        merge_mended(sheet(*BOATS), "fleet.csv", sheet(BOATS[0], BOATS[0]), "r.csv")


def test_a_column_that_mending_added_comes_after_the_others() -> None:
    added = {**BOATS[0], "displacement_basis": "light"}
    merged = merge_mended(sheet(*BOATS), "fleet.csv", sheet(added), "r.csv")
    assert read(merged.content).fleet.choice_words("displacement_basis", 0) == "light"
    assert read(merged.content).fleet.choice_words("displacement_basis", 1) is None


def test_text_behind_an_apostrophe_is_as_it_was() -> None:
    boats = [boat(entry_no="1", boat_name="=Plover", displacement="8400"), boat(entry_no="2")]
    bad = rejects(read(sheet(*boats)))
    assert bad[0]["boat_name"].startswith("'")
    bad[0]["displacement"] = "8,400 kg"
    merged = merge_mended(sheet(*boats), "f.csv", rows_csv([list(bad[0]), list(bad[0].values())]), "r.csv")
    assert read(merged.content).fleet.text["boat_name"].to_list() == ["=Plover", "Grey Plover"]
