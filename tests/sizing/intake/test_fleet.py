"""The whole way of a file: counts that add up, remarks, identity, and no surprise for any bytes."""

from __future__ import annotations

import csv
import hashlib
import io

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from sizing.errors import InputError
from sizing.fields import FIELDS
from sizing.intake import read_fleet, write_rejects
from sizing.model import IntakeResult
from tests.sizing.intake.sheets import (
    GOOD,
    TODAY,
    boat,
    codes,
    read,
    read_boats,
    remark_codes,
    rows_csv,
    sheet,
)

CELLS = st.sampled_from(
    ["", "x", "11.6 m", "9,300 lb", "11,6 m", "40'6\"", "=1+1", "#REF!", "yacht", "none", "2026-04-18",
     "017", "1", "4 x M12", "100", "Total", "\u202eabc", "½ in", "3 t WLL", "\x07", "a\nb", "∞ m",
     "9" * 400 + " m", "0 m", "kg", "1e999 kg", "\ufffd"]
)  # fmt: skip
HEADERS = st.permutations([field.name for field in FIELDS] + ["Colour", "Loa2"]).map(lambda names: names[:40])


def assert_counts(result: IntakeResult) -> None:
    assert result.rows_in == len(result.fleet) + len(result.rejected)
    assert len(result.fleet.text) == len(result.fleet.as_written) == len(result.fleet)
    lengths = [len(values) for values in result.fleet.number.values()]
    lengths += [len(codes_) for codes_ in result.fleet.choice.values()]
    assert set(lengths) == {len(result.fleet)}
    for row in range(len(result.fleet)):
        assert result.fleet.entry(row).row == row
    for rejected in result.rejected:
        assert rejected.errors
        assert all(error.found and error.expected and error.mend for error in rejected.errors)
    for remark in result.fleet.remarks:
        assert len(remark.sentences) in (1, len(remark.rows))
        assert sorted(set(remark.rows.tolist())) == remark.rows.tolist()
    write_rejects(result, io.StringIO())


def assert_sound(data: bytes) -> None:
    """Any bytes give a result whose counts add up, or an error that is meant."""
    try:
        result = read(data)
    except InputError:
        return
    assert_counts(result)


@settings(suppress_health_check=[HealthCheck.data_too_large])
@given(st.data())
def test_rows_in_are_rows_accepted_and_rejected_on_any_mess(data: st.DataObject) -> None:
    header = data.draw(HEADERS)
    for name in GOOD:
        if name not in header:
            header.append(name)
    rows = []
    for number in range(data.draw(st.integers(1, 5))):
        cells = dict.fromkeys(header, "") | boat(entry_no=str(number))
        for name in data.draw(st.lists(st.sampled_from(header), max_size=5)):
            cells[name] = data.draw(CELLS)
        rows.append([cells[name] for name in header])
    assert_sound(rows_csv([header, *rows]))


BASE = sheet(boat(), boat(entry_no="018", loa="bad"), boat(entry_no="019", notes="é½"))


@given(st.binary(max_size=200))
def test_random_bytes_give_a_result_or_a_deliberate_error(data: bytes) -> None:
    assert_sound(data)


@given(
    st.lists(
        st.tuples(st.integers(0, len(BASE)), st.integers(0, 6), st.binary(max_size=4) | st.sampled_from(
            [b'"', b'""', b"\r", b"\n", b",", b";", b"\0", b"\xff", b"'", b"\t"])),
        min_size=1, max_size=6,
    ),
    st.sampled_from(["utf-8", "utf-16", "cp1252"]),
)  # fmt: skip
def test_mutated_files_give_a_result_or_a_deliberate_error(
    cuts: list[tuple[int, int, bytes]], encoding: str
) -> None:
    data = BASE.decode().encode(encoding)
    for at, length, put in cuts:
        data = data[:at] + put + data[at + length :]
    assert_sound(data)


def test_csv_written_read_and_written_again_is_unchanged() -> None:
    data = sheet(boat(notes='a "quoted", note'), boat(entry_no="018", loa="38'1\"", Colour="=red"))
    frame = read(data).fleet.as_written
    text = io.StringIO(newline="")
    names = next(csv.reader(io.StringIO(data.decode())))
    csv.writer(text).writerows([names, *(frame.select(names).rows())])
    assert text.getvalue().encode() == data


def test_nothing_is_dropped_between_file_and_result() -> None:
    result = read_boats(boat(), boat(entry_no="018", displacement="x"), boat(entry_no="019"))
    assert (result.rows_in, len(result.fleet), len(result.rejected)) == (3, 2, 1)
    assert result.fleet.row_no.tolist() == [2, 4]
    assert result.rejected[0].cells[0] == "018"
    assert result.sha256 == hashlib.sha256(sheet(boat(), boat(entry_no="018", displacement="x"),
                                                 boat(entry_no="019"))).hexdigest()  # fmt: skip


def test_two_boats_with_one_entry_number_are_both_rejected() -> None:
    result = read_boats(boat(entry_no="A1"), boat(entry_no=" a1 ", boat_name="Heron"), boat(entry_no="A2"))
    assert codes(result) == [("entry_no", "duplicate_entry")] * 2
    assert [row.errors[0].found for row in result.rejected] == [
        "entry number “A1” also stands in row 3",
        "entry number “a1” also stands in row 2",
    ]
    assert len(result.fleet) == 1


def test_many_rows_with_one_entry_number_and_name_name_a_few_of_the_others() -> None:
    result = read_boats(*(boat() for _ in range(3000)))
    assert len(result.rejected) == 3000
    assert (
        result.rejected[2].errors[0].found == "entry number “017” also stands in row 2, 3, 5, 6, 7 and more"
    )


@pytest.mark.parametrize("name", [field.name for field in FIELDS if field.kind != "text"])
@pytest.mark.parametrize(
    "cell", ["1 " * 16_000 + "m", "1" + " " * 32_000 + "m", "4 x " * 8_000, "(" * 32_000]
)
def test_very_long_cells_are_refused_at_once(name: str, cell: str) -> None:
    assert codes(read_boats({**boat(), name: cell})) == [(name, "too_long")]


def test_two_boats_with_one_name_are_a_warning() -> None:
    result = read_boats(boat(entry_no="1"), boat(entry_no="2", boat_name="GREY PLOVER"))
    assert ("boat_name", "same_name") in remark_codes(result)
    assert len(result.fleet) == 2


@pytest.mark.parametrize("entry", ["3-Mar", "Mar-03", "2026-03-01", "03/04/2026", "1E+05", "5e3"])
def test_entry_numbers_that_a_spreadsheet_may_have_changed_are_flagged_not_repaired(entry: str) -> None:
    result = read_boats(boat(entry_no=entry))
    assert result.fleet.entry(0).entry_no == entry
    assert len(result.fleet.entry(0).warnings) == 1


def test_lost_leading_zeros_are_flagged() -> None:
    result = read_boats(
        boat(entry_no="017"), boat(entry_no="18", boat_name="B"), boat(entry_no="119", boat_name="C")
    )
    flagged = [one.rows.tolist() for one in result.fleet.remarks if one.code == "entry_zeros"]
    assert flagged == [[1]]


def test_blank_required_cells_are_errors_each() -> None:
    result = read_boats({name: ("x" if name == "entry_no" else "") for name in GOOD})
    assert [code for _, code in codes(result)] == ["blank"] * 4


@pytest.mark.parametrize("name", ["entry_no", "boat_type", "loa", "displacement"])
@pytest.mark.parametrize("word", ["TBC", "?", "n/a", "-"])
def test_words_for_not_known_are_no_answer_where_one_is_needed(name: str, word: str) -> None:
    """Such a boat was once accepted, and her page said that her displacement is nan."""
    result = read_boats(boat(**{name: word}))
    assert codes(result) == [(name, "blank")]
    assert word in result.rejected[0].errors[0].found


def test_a_boat_may_be_called_unknown() -> None:
    assert len(read_boats(boat(boat_name="Unknown")).fleet) == 1


def test_a_wrong_cell_is_not_called_blank_too() -> None:
    assert codes(read_boats(boat(displacement="heavy"))) == [("displacement", "no_number")]


def test_private_columns_are_kept_for_the_officer_and_left_out_of_entries() -> None:
    fleet = read_boats(boat(email="a@b.example", phone="+1")).fleet
    assert fleet.as_written["email"].to_list() == ["a@b.example"]
    assert "email" not in fleet.entry(0).as_written


def test_progress_is_told_from_beginning_to_end() -> None:
    told: list[tuple[int, int]] = []
    read_fleet(
        sheet(boat()), "x.csv", today=TODAY, progress=lambda _what, done, total: told.append((done, total))
    )
    assert told[0][0] == 0
    assert told[-1][0] == told[-1][1]
    assert told == sorted(told)


def test_error_values_of_a_spreadsheet_are_named_in_any_column() -> None:
    result = read_boats(boat(boat_name="#REF!", loa="######", lwl="#DIV/0!", notes="#1 in class"))
    assert codes(result) == [("boat_name", "cell_error"), ("loa", "cell_error"), ("lwl", "cell_error")]


def test_a_figure_shortened_to_an_exponent_is_named_as_such() -> None:
    assert codes(read_boats(boat(displacement="1E+04"))) == [("displacement", "exponent")]
