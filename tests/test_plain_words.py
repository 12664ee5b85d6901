"""What people read of the demo holds none of the engine's own words for levels and standings.

The codes stand in file formats alone: columns of tables, the interface, keys of the policy.
"""

from __future__ import annotations

import csv
import html
import re
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

from openpyxl import load_workbook

from sizing.policy_file import policy_template
from sizing.words import vocabulary
from tests.calling import Done

ENGINE = re.compile(r"\b(shalls?|shoulds?|unproven|open findings?)\b", re.IGNORECASE)
QUESTION = re.compile(r"\b(Should we|What should my drogue be)\?")
"""Questions of a page, where the word is plain English."""
APART = ("glossary.html", "licences.html")
"""The glossary tells the engine's words too, so that they can be looked up; licences are quoted."""
MARKUP = re.compile(r"<(script|style)\b.*?</\1>|<[^>]+>", re.DOTALL)
NAME = "So That No Harbour Master Should Ever"
"""Part of a boat's name."""


def read(out: Path, printed: str) -> Iterator[tuple[str, str]]:
    """Everything a person reads, with where it stands."""
    yield "print-out", printed
    for path in sorted((out / "messages").glob("*.txt")):
        yield path.name, " ".join(path.read_text(encoding="utf-8").split())
    with (out / "tables" / "chase.csv").open(encoding="utf-8-sig", newline="") as file:
        yield from (("chase.csv", row["action"]) for row in csv.DictReader(file))
    with (out / "tables" / "findings.csv").open(encoding="utf-8-sig", newline="") as file:
        for row in csv.DictReader(file):
            yield from (("findings.csv", row[name]) for name in ("asks", "sentence", "note", "remedy"))
    for path in sorted({*(out / "site").glob("**/*.html")} - {out / "site" / name for name in APART}):
        text = html.unescape(MARKUP.sub(" ", path.read_text(encoding="utf-8")))
        yield path.name, QUESTION.sub(" ", " ".join(text.split()))
    with closing(load_workbook(out / "order" / "order.xlsx", read_only=True)) as book:
        for sheet in book:
            for cells in sheet.iter_rows(values_only=True):
                yield from ((sheet.title, cell) for cell in cells if isinstance(cell, str))


def test_no_word_of_the_engine_is_read_by_people(demo_run: tuple[Path, Done]) -> None:
    out, done = demo_run
    found = {
        (where, match.group())
        for where, text in read(out, done.stdout)
        if (match := ENGINE.search(text.replace(NAME, "")))
    }
    assert not found


def test_a_message_says_what_to_do_by_when_at_what_price_and_how_to_answer(
    demo_run: tuple[Path, Done],
) -> None:
    """A boat with nothing aboard, one with old rope, one with nothing to do."""
    texts = {
        name: " ".join((demo_run[0] / "messages" / f"{name}.txt").read_text(encoding="utf-8").split())
        for name in ("002", "008", "016")
    }
    for text in texts.values():
        assert re.search(r" Subject: \S.{3,120}? Aldermoyle Long Passage 2027, as of ", text)
        assert "To answer or ask: Long Passage Safety Office safety@aldermoyle.example" in text
    assert "What the new parts put right: - Your boat carries no drogue. Your share" in texts["002"]
    assert texts["002"].count("1. ") == 1
    assert re.search(r"Your share of what is bought: [\d,]+\.\d\d EUR\.", texts["002"])
    assert "The lead line will be 19 years old on 15 May 2027: too old to count" in texts["008"]
    assert "diameter, fibre" not in texts["008"]
    assert "There is nothing to do for your boat today." in texts["016"]


def test_the_policy_file_says_its_codes_in_plain_words() -> None:
    comments = [line for line in policy_template().splitlines() if ENGINE.search(line)]
    assert comments == [
        '# In this file "shall" stands for required and "should" for advised.',
        '# "hardware.mousing" = "shall"',
    ]
    assert vocabulary()["level", "shall"].words["officer"] == "required"
