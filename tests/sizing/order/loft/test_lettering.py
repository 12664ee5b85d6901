"""Letters and lines: any text at all becomes lines that fit, and loses nothing unsaid."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from reportlab.pdfbase import pdfmetrics

from sizing.order.loft.lengths_shown import feet_inches, metres
from sizing.order.loft.lettering import (
    Lettering,
    _wide_font,
    as_printed,
    largest,
    lettering,
    one_line,
    runs,
    width_pt,
    wrapped,
)

ROOM = 120.0
LATIN = st.text(st.characters(max_codepoint=0x17F), max_size=200)


@given(st.text(max_size=120))
def test_any_text_can_be_printed(text: str) -> None:
    words = lettering(text)
    for line in wrapped(words, words.face(bold=True), 12.0, ROOM, 50):
        as_printed(line)
        assert width_pt(line, words.face(bold=True), 12.0) <= ROOM


@given(LATIN)
def test_lines_hold_the_whole_text(text: str) -> None:
    words = lettering(text)
    lines = wrapped(words, words.face(), 9.0, ROOM, 1000)
    assert "".join(lines).replace(" ", "") == words.text.replace(" ", "")


@given(LATIN, st.integers(1, 4))
def test_what_is_cut_ends_with_an_ellipsis(text: str, most: int) -> None:
    words = lettering(text)
    whole = wrapped(words, words.face(), 9.0, ROOM, 1000)
    lines = wrapped(words, words.face(), 9.0, ROOM, most)
    assert len(lines) <= most
    assert (lines == whole) == (len(whole) <= most)
    if lines != whole:
        assert lines[-1].endswith("…")


@given(st.text(max_size=60))
def test_a_lost_character_is_never_silent(text: str) -> None:
    words = lettering(text)
    if not words.lost:
        assert words.text.count("?") == " ".join(text.split()).count("?")


def test_the_largest_size_that_holds_a_name_whole_is_taken() -> None:
    sizes = ((30.0, 1), (20.0, 1), (10.0, 2))
    assert largest(lettering("Tern"), ROOM, sizes) == (30.0, ("Tern",))
    size, lines = largest(lettering("Grey Plover of the Northern Sands"), ROOM, sizes)
    assert (size, len(lines)) == (10.0, 2)
    size, lines = largest(lettering("x" * 25), ROOM, ((20.0, 3), (5.0, 1)))
    assert (size, lines) == (5.0, ("x" * 25,)), "no word is broken where a smaller size holds it"


@given(LATIN)
def test_one_line_holds_as_much_as_fits(text: str) -> None:
    words = lettering(text)
    line = one_line(words, words.face(), 9.0, ROOM)
    assert width_pt(line, words.face(), 9.0) <= ROOM
    assert line == words.text or words.text.startswith(line.removesuffix("…"))


@pytest.mark.parametrize(
    "name",
    [
        "海燕 Sea Swallow", "うみネコ", "갈매기", "นกนางนวล", "समुद्र", "ባሕር", "ქარი", "Ջուր", "بحر", "ים",
        "Čmelák", "🚢 Grey Plover ⛵\ufe0f", "🦭🐬🌊", "𐤕𐤓",
    ],
)  # fmt: skip
def test_a_name_in_any_script_is_printed_whole(name: str) -> None:
    """Each letter is drawn by a font that has it, and the width told is that of what is drawn."""
    words = lettering(name)
    assert words == Lettering(name.replace("\ufe0f", ""), wide=True, lost=False)
    drawn = runs(as_printed(words.text))
    assert sorted("".join(letters for _, letters in drawn)) == sorted(as_printed(words.text))
    for font, letters in drawn:
        shown = _wide_font(font).face.charToGlyph
        assert all(ord(char) in shown for char in letters)
    wide = sum(pdfmetrics.stringWidth(letters, font, 12.0) for font, letters in drawn)
    assert width_pt(words.text, words.face(), 12.0) == pytest.approx(wide)
    assert lettering(name + "?").text.count("?") == 1


def test_half_a_character_becomes_a_question_mark() -> None:
    """A lone surrogate, which no text file can hold and some programs hand on."""
    assert lettering("Grey\ud83ePlover") == Lettering("Grey?Plover", wide=False, lost=True)


def test_western_text_needs_no_other_font() -> None:
    assert lettering("Étourneau ½ × 3°").face() == "Helvetica"
    assert lettering("Čmelák").face(bold=True) == "DejaVuSans"


@given(st.floats(0.0, 2000.0))
def test_feet_and_inches_are_within_an_eighth_of_an_inch(length_m: float) -> None:
    """0.0254 m to the inch, twelve inches to the foot [SP 811]."""
    feet, rest = feet_inches(length_m).split("' ")
    whole = rest.rstrip('"¼½¾')
    part = {"¼": 0.25, "½": 0.5, "¾": 0.75}.get(rest.rstrip('"')[-1], 0.0)
    inches = 12 * int(feet) + int(whole or 0) + part
    assert abs(inches * 0.0254 - length_m) <= 0.0254 / 8 + 1e-9
    assert float(metres(length_m)) == pytest.approx(length_m, abs=0.0005)
