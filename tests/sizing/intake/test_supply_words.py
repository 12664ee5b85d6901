"""Consent is never read out of free text or a slip: another way is understood, all else is asked about."""

from __future__ import annotations

import pytest

from sizing.errors import QuantityError
from sizing.fields import CHOICES
from sizing.intake.supply_words import SPELLINGS, another_way
from sizing.intake.words import read_choice
from sizing.model import CONSENT

WORDS = CHOICES["gear_supply"]


def word_of(text: str) -> str:
    code = read_choice(text, "gear_supply").value
    return "" if code < 0 else WORDS[code]


@pytest.mark.parametrize(
    ("text", "word"),
    [
        ("on order from sailmaker, NOT in bulk order", "own purchase"),
        ("will hire", "hire or borrow"),
        ("borrow", "hire or borrow"),
        ("Will borrow from a friend", "hire or borrow"),
        ("buying our own", "own purchase"),
        ("beim Segelmacher bestellt", "own purchase"),
        ("emprunté au club", "hire or borrow"),
        ("not in the rally order", "declined"),
        ("Rally Order", CONSENT),
        ("Sammelbestellung", CONSENT),
        ("oui", CONSENT),
        ("no", "declined"),
        ("none", "declined"),
        ("?", ""),
        ("tbc", ""),
        ("rally order?", ""),
    ],
)
def test_what_a_cell_says(text: str, word: str) -> None:
    assert word_of(text) == word


@pytest.mark.parametrize(
    "text",
    ["rally ordre", "raly order", "bulk order please, but borrow the bridle", "perhaps", "hire or buy own",
     "ask me in May"],
)  # fmt: skip
def test_what_is_not_clear_is_asked_about_and_never_consent(text: str) -> None:
    with pytest.raises(QuantityError) as refused:
        read_choice(text, "gear_supply")
    assert "one of: rally order, own purchase" in refused.value.expected


def test_spellings_are_plain_and_each_means_one_word() -> None:
    assert list(SPELLINGS) == list(WORDS)
    spelled = [one for several in SPELLINGS.values() for one in several]
    assert len(set(spelled)) == len(spelled)
    assert all(word_of(one) == word for word, several in SPELLINGS.items() for one in several)


@pytest.mark.parametrize(
    "note",
    ["on order from sailmaker, NOT in bulk order", "Will hire.", "borrow", "We plan to borrow a drogue",
     "drogue on loan", "gear is on order", "ordered from a loft at home"],
)  # fmt: skip
def test_notes_that_speak_of_another_way(note: str) -> None:
    assert another_way(note)


@pytest.mark.parametrize(
    "note", ["", "Bag in the locker.", "New sails ordered in June", "Chartered out until March", "Own design"]
)
def test_notes_that_do_not(note: str) -> None:
    assert not another_way(note)
