"""The vocabulary: a word for every code of the engine, for every reader, and no word of two kinds."""

from __future__ import annotations

from typing import get_args

import pytest

from sizing.model import Level, MendChoice, PartGroup, Standing
from sizing.words import READERS, glossary, open_words, vocabulary, words_for


def test_every_code_has_a_word_for_every_reader() -> None:
    codes = {
        "standing": {*(standing.words for standing in Standing), "below advised"},
        "level": set(get_args(Level)),
        "plan": set(get_args(MendChoice)),
        "part": set(get_args(PartGroup)),
    }
    for group, keys in codes.items():
        assert {key for kind, key in vocabulary() if kind == group} == keys
        for reader in READERS:
            assert set(words_for(reader)[group]) == keys


@pytest.mark.parametrize("reader", READERS)
@pytest.mark.parametrize("group", ["standing", "level", "plan"])
def test_no_two_codes_read_the_same_and_none_reads_as_the_engine_s_own(reader: str, group: str) -> None:
    words = words_for(reader)[group]  # type: ignore[arg-type]
    assert len(set(words.values())) == len(words)
    if group != "plan":
        assert not set(words.values()) & {"shall", "should", "short", "absent", "unproven", "meets"}


def test_a_glossary_tells_each_word_once_in_short_sentences() -> None:
    terms = glossary()
    assert len({term.anchor for term in terms}) == len(terms)
    for term in terms:
        assert term.meaning.endswith(".")
        assert max(len(part.split()) for part in term.meaning.split(". ")) <= 32, term.word
        assert term.word not in term.synonyms or term.key == term.word


@pytest.mark.parametrize(
    ("required", "advised", "words"),
    [(0, 0, "nothing to do"), (1, 0, "1 to do"), (0, 1, "nothing you must do, 1 advised"),
     (1234, 2, "1,234 to do, 2 more advised")],
)  # fmt: skip
def test_how_much_is_left_is_told_in_one_way(required: int, advised: int, words: str) -> None:
    assert open_words(required, advised) == words
