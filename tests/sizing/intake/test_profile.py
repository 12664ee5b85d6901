"""Columns confirmed once: what the profile says counts, and a changed header is asked about."""

from __future__ import annotations

import pytest

from sizing.errors import InputError
from sizing.intake import Chosen, Profile, changed, mapping_of, profile_text, read_fleet, read_profile
from sizing.model import IntakeResult
from tests.sizing.intake.sheets import TODAY, rows_csv

HEADER = ["Nr", "Boot", "LüA", "Heck", "Gewicht", "Jahr", "Bemerkung"]
ROWS = [
    ["1", "Möwe", "11.58", "2.9", "8.4", "1998", ""],
    ["2", "Krähe", "12.5", "3.1", "9.4", "2003", "=1+1"],
]
PROFILE = Profile(
    (
        Chosen("Nr", "entry_no"), Chosen("Boot", "boat_name"), Chosen("LüA", "loa", "m"),
        Chosen("Heck", "transom_width", "m"), Chosen("Gewicht", "displacement", "t", "loaded"),
        Chosen("Jahr", "boat_year"), Chosen('Bemerkung "frei"\\', ""), Chosen("Bemerkung", "notes"),
    ),
    {"boat_type": "sailing monohull"},
)  # fmt: skip


def read(header: list[str], profile: Profile | None = PROFILE) -> IntakeResult:
    return read_fleet(rows_csv([header, *ROWS]), "fleet.csv", today=TODAY, profile=profile)


def test_a_profile_says_what_columns_are_in_what_unit_and_what_holds_for_all() -> None:
    result = read(HEADER)
    assert not result.rejected
    assert result.fleet.number["displacement_kg"].tolist() == pytest.approx([8400.0, 9400.0])
    assert result.fleet.number["boat_year"].tolist() == [1998.0, 2003.0]
    assert result.fleet.choice["boat_type"].tolist() == [0, 0]
    assert result.fleet.choice_words("displacement_basis", 0) == "loaded"
    with pytest.raises(InputError, match=r"no column boat_type; .*headers not known here: D “Heck”"):
        read(HEADER, None)


def test_a_changed_header_is_asked_about_and_one_that_went_is_said() -> None:
    header = ["Baujahr" if cell == "Jahr" else cell for cell in HEADER]
    result = read(header)
    assert str(result.fleet.number["boat_year"].tolist()) == "[nan, nan]"
    notes = " ".join(result.file_notes)
    assert "F “Baujahr” is not used: it is new since the columns were confirmed." in notes
    assert "Column “Jahr”, confirmed as boat_year, is no longer there." in notes
    transom = read(["Spiegelbreite" if cell == "Heck" else cell for cell in HEADER])
    assert str(transom.fleet.number["transom_width_m"].tolist()) == "[nan, nan]"
    notes = " ".join(transom.file_notes)
    assert "D “Spiegelbreite” is not used: it is new since the columns were confirmed." in notes
    assert "Column “Heck”, confirmed as transom_width, is no longer there." in notes
    with pytest.raises(InputError, match="no column displacement; column E “Masse”"):
        read(["Masse" if cell == "Gewicht" else cell for cell in HEADER])


def test_the_file_says_the_same_when_it_is_read_again() -> None:
    text = profile_text(PROFILE, "fleet.csv", "2026-06-01")
    assert read_profile(text.encode(), "fleet.columns.toml") == PROFILE


def test_a_profile_of_another_sheet_is_left_aside_and_said() -> None:
    data = rows_csv([["Entry no", "Yacht", "Boat type", "LOA (m)", "Transom (m)", "Displacement (kg)"],
                     ["1", "Plover", "sloop", "11.6", "2.9", "8400"]])  # fmt: skip
    result = read_fleet(data, "fleet.csv", today=TODAY, profile=PROFILE)
    assert len(result.fleet) == 1
    assert any("those of another sheet" in note for note in result.file_notes)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("[[column]\n", "not TOML"), ("columns = 1\n", "“columns” is not known"),
        ("[[column]]\nuse = 'loa'\n", "no header"),
        ("[[column]]\nheader = 'a'\nuse = 'lao'\n", "no column of the entry sheet"),
        ("[[column]]\nheader = 'a'\nuse = 'loa'\nunit = 'kg'\n", "unit of mass"),
        ("[[column]]\nheader = 'a'\nuse = 'design'\nunit = 'm'\n", "design has no unit"),
        ("[[column]]\nheader = 'a'\n[[column]]\nheader = 'A'\n", "stands there twice"),
        ("[[column]]\nheader = 'a'\nuse = 1\n", "not written in quotes"),
        ("[[column]]\nheader = 'a'\nuse = 'loa'\nbasis = 'light'\n", "does not go with loa"),
        ("[given]\nloa = '11 m'\n", "cannot be given"),
        ("[given]\nboat_type = 'boat'\n", "no word of boat_type"),
    ],
)  # fmt: skip
def test_what_is_wrong_with_a_profile_is_said(text: str, words: str) -> None:
    with pytest.raises(InputError, match=words):
        read_profile(text.encode(), "fleet.columns.toml")


def test_the_mapping_shows_values_neighbours_doubts_and_one_boat() -> None:
    content = rows_csv([HEADER, *ROWS])
    mapping = mapping_of(content, "fleet.csv", today=TODAY)
    assert "boat_type" in mapping.missing
    heck = next(one for one in mapping.columns if one.reading.header == "Heck")
    assert (heck.values, heck.left, heck.right) == (("2.9", "3.1"), "LüA", "Gewicht")
    confirmed = changed(mapping.profile(), [one for one in PROFILE.columns if one.header in HEADER])
    again = mapping_of(content, "fleet.csv", today=TODAY, profile=Profile(confirmed.columns, PROFILE.given))
    assert again.missing == ()
    assert ("loa", "11.58", "11.58 m (38 ft)") in again.boat
