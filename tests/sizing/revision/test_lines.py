"""Order as people count, and text that fits the page."""

from __future__ import annotations

import unicodedata

from hypothesis import given
from hypothesis import strategies as st

from sizing.revision.lines import columns, folded, one_line
from sizing.revision.natural import natural_key

TEXTS = st.text(max_size=300)


def test_berths_and_entries_are_ordered_as_people_count() -> None:
    assert sorted(["A10", "A2", "B1", "", "a1", "A2b", "10", "9"], key=natural_key) == [
        "", "9", "10", "a1", "A2", "A2b", "A10", "B1",
    ]  # fmt: skip


@given(st.lists(TEXTS))
def test_any_texts_have_one_order(texts: list[str]) -> None:
    backwards = list(reversed(texts))
    assert sorted(backwards, key=natural_key) == sorted(texts, key=natural_key)


@given(TEXTS, st.integers(12, 90))
def test_folded_text_fits_and_loses_nothing(text: str, width: int) -> None:
    lines = folded(text, first="- ", rest="  ", width=width)
    assert all(columns(line) <= width for line in lines)
    joined = "".join(line[2:] for line in lines).replace(" ", "")
    assert joined == one_line(text).replace(" ", "")


@given(TEXTS)
def test_one_line_has_no_control_and_no_direction_marks(text: str) -> None:
    line = one_line(text)
    assert not any(unicodedata.category(sign) in {"Cc", "Cs", "Zl", "Zp"} for sign in line)
    assert not set(line) & {chr(code) for code in (*range(0x202A, 0x202F), *range(0x2066, 0x206A))}


def test_an_address_is_never_broken() -> None:
    address = "https://site.example/" + "a" * 90
    assert folded(address, keep=True) == [address]
    assert len(folded(address)) == 2
