"""Choice words, yes and no, dates, bolts and whole numbers."""

from __future__ import annotations

import datetime as dt

import pytest

from sizing.errors import QuantityError
from sizing.fields import CHOICES
from sizing.intake.cells import read_count
from sizing.intake.words import TENSILE_PA, read_bolts, read_choice, read_date, read_yes_no
from tests.sizing.intake.sheets import TODAY, boat, codes, read_boats, remark_codes


@pytest.mark.parametrize(
    ("name", "text", "word"),
    [
        ("boat_type", "mono", "sailing monohull"),
        ("boat_type", "Monohull", "sailing monohull"),
        ("boat_type", "CAT", "sailing multihull"),
        ("boat_type", "trimaran", "sailing multihull"),
        ("boat_type", "Sailing yacht", "sailing monohull"),
        ("boat_type", "motor yacht", "motor monohull"),
        ("boat_type", "Trawler", "motor monohull"),
        ("boat_type", "power cat", "motor multihull"),
        ("boat_type", "sailing  monohul", "sailing monohull"),
        ("device_type", "parachute anchor", "parachute"),
        ("device_type", "Sea anchor", "parachute"),
        ("device_type", "Series-drogue", "series drogue"),
        ("device_type", "warp", "warps"),
        ("device_type", "nil", "none"),
        ("device_type", "-", "none"),
        ("line_material", "3-strand nylon", "nylon three strand"),
        ("thimble_type", "pressed", "thin sheet"),
        ("chafe_gear", "no", "none"),
    ],
)
def test_words_are_mapped_and_noted(name: str, text: str, word: str) -> None:
    read = read_choice(text, name)
    assert CHOICES[name][read.value] == word
    assert len(read.notes) == 1


@pytest.mark.parametrize(
    ("name", "text"),
    [("line_ends", "spliced?"), ("chafe_gear", "fitted ?"), ("structure_survey", "accepted?"),
     ("thimble_type", "reinforced??"), ("displacement_basis", "loaded?")],
)  # fmt: skip
def test_a_word_with_a_question_mark_is_no_answer(name: str, text: str) -> None:
    """One sign more than the word, it was once read as a slip of the pen, and passed."""
    read = read_choice(text, name)
    assert read.value == -1
    assert "question" in read.notes[0].sentence


def test_who_writes_nought_for_none_is_told_to_leave_the_cell_empty() -> None:
    result = read_boats(boat(end_weight="0 kg"))
    assert "leave the cell empty" in result.fleet.entry(0).warnings[0]


@pytest.mark.parametrize("dash", ["-", "–", "—"])
def test_a_dash_does_not_say_that_there_is_no_swivel(dash: str) -> None:
    """No swivel needs no proof, so only the word says it; a dash is what people write who do not know."""
    assert read_choice(dash, "swivel").value == -1


@pytest.mark.parametrize("name", sorted(CHOICES))
def test_the_words_themselves_need_no_note(name: str) -> None:
    for code, word in enumerate(CHOICES[name]):
        for spelling in (word, word.upper(), f" {word} ".replace(" ", "  ")):
            read = read_choice(spelling, name)
            assert (read.value, read.notes) == (code, ())


@pytest.mark.parametrize(
    ("name", "text"), [("boat_type", "submarine"), ("condition", "=1+1"), ("line_ends", "both")]
)
def test_unknown_words_are_refused_with_the_list(name: str, text: str) -> None:
    with pytest.raises(QuantityError) as caught:
        read_choice(text, name)
    assert all(word in caught.value.expected for word in CHOICES[name])


def test_none_and_blank_differ() -> None:
    none, blank = (
        read_boats(boat(device_type=cell)).fleet.choice_words("device_type", 0) for cell in ("none", "")
    )
    assert (none, blank) == ("none", None)


@pytest.mark.parametrize(
    ("text", "value"), [("yes", 1.0), ("Y", 1.0), ("TRUE", 1.0), ("no", 0.0), ("N", 0.0), ("false", 0.0)]
)
def test_yes_and_no(text: str, value: float) -> None:
    assert read_yes_no(text).value == value


def test_neither_yes_nor_no() -> None:
    assert codes(read_boats(boat(stowed_ready="mostly"))) == [("stowed_ready", "unknown_word")]


@pytest.mark.parametrize(
    "text",
    ["2026-04-18", "18 Apr 2026", "18 April 2026", "18-Apr-2026", "18/04/2026", "04/18/2026", "18.04.2026",
     "April 18, 2026", "18th April 2026", "2026/4/18", "2026-04-18 00:00:00"],
)  # fmt: skip
def test_dates_that_mean_one_day(text: str) -> None:
    assert dt.date.fromordinal(int(read_date(text, TODAY).value)) == dt.date(2026, 4, 18)


@pytest.mark.parametrize(
    ("text", "code"),
    [("04/05/2026", "which_date"), ("2026-06-02", "future_date"), ("31 Apr 2026", "no_such_day"),
     ("46130", "serial_date"), ("18/04/26", "bad_date"), ("April 2026", "bad_date"),
     ("1 Jan 1900", "old_date"), ("1/1/0000", "no_such_day")],
)  # fmt: skip
def test_dates_that_do_not(text: str, code: str) -> None:
    with pytest.raises(QuantityError) as caught:
        read_date(text, TODAY)
    assert caught.value.code == code


def test_the_day_of_the_check_itself_is_no_future() -> None:
    assert read_date("2026-06-01", TODAY).value == TODAY.toordinal()
    assert read_date("05/05/2026", TODAY).value == dt.date(2026, 5, 5).toordinal()


@pytest.mark.parametrize(
    ("text", "number", "size", "tensile"),
    [
        # Nominal tensile strengths: ISO 898-1 (first number x 100 MPa), ISO 3506-1 (class x 10 MPa).
        ("4 x M10 A4-70", 4, 10, 700e6),
        ("4xM12 8.8", 4, 12, 800e6),
        ("6 M8 A2-80", 6, 8, 800e6),
        ("4 off M12x40 grade 10.9", 4, 12, 1000e6),
        ("4 × m12 (A4-80)", 4, 12, 800e6),
        ("2 x M16 bolts, A4 70", 2, 16, 700e6),
    ],
)
def test_bolts(text: str, number: float, size: float, tensile: float) -> None:
    read = read_bolts(text)
    assert read.value == (number, size, tensile)
    assert read.notes == ()


def test_every_grade_is_what_its_name_says() -> None:
    for grade, tensile in TENSILE_PA.items():
        nominal = int(grade.split("-")[1]) * 10 if "-" in grade else int(grade.split(".")[0]) * 100
        assert tensile == nominal * 1e6


@pytest.mark.parametrize("text", ["4 x M12", "4 x M12 316", "4 x M12 A4"])
def test_bolts_without_a_known_grade_have_no_strength(text: str) -> None:
    result = read_boats(boat(attachment_bolts=text))
    assert result.fleet.value("bolt_count", 0) == 4.0
    assert result.fleet.value("bolt_tensile_pa", 0) is None
    assert ("attachment_bolts", "bolt_grade") in remark_codes(result)


@pytest.mark.parametrize("text", ["M12 A4-70", "four bolts", "4 x 1/2 in", "0 x M12", "4 x M99"])
def test_bolts_that_cannot_be_read(text: str) -> None:
    assert [column for column, _ in codes(read_boats(boat(attachment_bolts=text)))] == ["attachment_bolts"]


@pytest.mark.parametrize("text", ["1e2", "100.5", "-1", "1001", "about 100", "1,000", "٣"])
def test_counts_that_are_none(text: str) -> None:
    with pytest.raises(QuantityError):
        read_count(text, "cone_count", (0.0, 1000.0))


def test_years_lie_between_1950_and_today() -> None:
    assert codes(read_boats(boat(made_year="2027"))) == [("made_year", "out_of_range")]
    assert read_boats(boat(made_year="2021")).fleet.value("made_year", 0) == 2021
