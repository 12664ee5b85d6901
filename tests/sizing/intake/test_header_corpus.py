"""How many wordings of clubs are known, and that none is taken for something else.

The corpus is our own, as no published list of such headers is known to us; slips of the pen are made by a
seeded generator from every wording of the list.
"""

from __future__ import annotations

import random
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest

from sizing.fields import FIELD_BY_NAME, FIELDS
from sizing.intake.header_match import SHORTEST_SLIP, recognise
from sizing.intake.header_words import bag_of, known_headers, normal_header, unsure_words

GEAR = {"Drogue type": "series drogue", "Number of cones": "120", "Bridle diameter": "20 mm"}
CORPUS = tomllib.loads(Path(__file__).with_name("header_corpus.toml").read_text(encoding="utf-8"))


def meant(header: str) -> str:
    """The column that a header is taken for beyond doubt, with the basis it says; "" for none."""
    match = recognise(header)
    if match is None or match.how == "unsure":
        return ""
    return f"{match.field.name}.{match.basis}" if match.basis else match.field.name


def test_nineteen_of_twenty_wordings_are_known_and_none_is_taken_for_another() -> None:
    said = [(header, name) for name, headers in CORPUS.items() if name for header in headers]
    found = [(header, name, meant(header)) for header, name in said]
    assert [one for one in found if one[2] not in ("", one[1])] == []
    known = sum(name == got for _, name, got in found)
    assert len(said) > 400
    assert known >= 0.95 * len(said), [one for one in found if not one[2]]


def test_no_header_of_another_thing_is_taken_for_a_column() -> None:
    assert len(CORPUS[""]) > 280
    assert [(header, meant(header)) for header in CORPUS[""] if meant(header)] == []


def slips(words: list[str], rounds: int) -> Iterator[tuple[str, str]]:
    """Wordings with one letter left out, doubled, exchanged with the next, or another in its place."""
    chance = random.Random(16)  # noqa: S311  no secret
    for _ in range(rounds):
        for word in words:
            at = chance.randrange(1, len(word) - 1)
            other = chance.choice("abcdefghijklmnopqrstuvwxyz")
            made = chance.choice(
                (word[:at] + word[at + 1 :], word[:at] + word[at] + word[at:],
                 word[:at] + word[at + 1] + word[at] + word[at + 2 :], word[:at] + other + word[at + 1 :])
            )  # fmt: skip
            yield word, made


@pytest.mark.parametrize("rounds", [pytest.param(1), pytest.param(20, marks=pytest.mark.thorough)])
def test_a_slip_of_the_pen_never_leads_to_another_column(rounds: int) -> None:
    words = [word for word in known_headers() if len(word) > SHORTEST_SLIP]
    made = [(word, slip) for word, slip in slips(words, rounds) if slip != word]
    wrong = []
    hits = 0
    for word, slip in made:
        target = known_headers()[word]
        got = recognise(slip)
        if got is None or got.how == "unsure":
            continue
        right = (got.field.name, got.basis) == (target.field.name, target.basis)
        hits += right
        if not right and got.how == "slip":
            wrong.append((word, slip, got.field.name))
    assert wrong == []
    assert hits > 0.6 * len(made)


def test_no_wording_stands_for_two_columns() -> None:
    said: dict[str, set[str]] = {}
    for field in FIELDS:
        for word in (field.name, *field.aliases):
            said.setdefault(normal_header(word), set()).add(field.name)
    for key, target in known_headers().items():
        said.setdefault(key, set()).add(target.field.name)
    assert {word: names for word, names in said.items() if len(names) > 1} == {}


def test_words_about_several_things_are_no_wordings() -> None:
    assert not set(unsure_words()) & set(known_headers())
    assert all(one.boat or one.gear for one in unsure_words().values())
    assert bag_of("year of the drogue") == bag_of("drogue year")


def test_every_column_of_the_corpus_is_one_of_ours() -> None:
    assert {name.partition(".")[0] for name in CORPUS} <= {*FIELD_BY_NAME, ""}
