"""How hard the first screens are to read: the grade of Flesch and Kincaid, by a library of others."""

from __future__ import annotations

import html
import re
from pathlib import Path

import readability

from tests.calling import Done

MOST_GRADE = 8.0
MOST_OF_ONE_SENTENCE = 10.0
ENDS_A_LINE = "p|li|ol|ul|h2|summary|dt|dd|div|details|span class=.dm-job__facts"
LEAST_WORDS = 6
"""Shorter lines are titles, dates and prices, which would make any page easy."""


def sentences(page: str) -> list[str]:
    """Every sentence of the first section, as it is read; the words for a mail are left out."""
    section = re.search(r'<section id="standing".*?</section>', page, re.DOTALL)
    assert section
    text = re.sub(r"<pre.*?</pre>|<svg.*?</svg>", "", section[0], flags=re.DOTALL)
    text = re.sub(
        r"</?(?:p|li|ol|ul|h2|summary|dt|dd|div|details|span class=.dm-job__facts)\b[^>]*>", "\n", text
    )
    lines = html.unescape(re.sub(r"<[^>]+>", " ", text)).splitlines()
    found = [part for line in lines for part in re.split(r"(?<=[.?!])\s+", " ".join(line.split()))]
    return [one for one in found if len(one.split()) >= LEAST_WORDS]


def grade(said: list[str]) -> float:
    """The grade of sentences; the library wants one a line and a space between all tokens."""
    lines = "\n".join(" ".join(re.findall(r"[\w'’.,-]*\w|[.,:;?!]", one)) for one in said)
    return float(readability.getmeasures(lines, lang="en")["readability grades"]["Kincaid"])


def test_the_library_tells_easy_from_hard() -> None:
    assert grade(["The cat sat on the old red mat."]) < 3
    assert grade(["Considerable uncertainty notwithstanding, authorities recommended evacuation."]) > 15


def test_first_screens_are_read_by_grade_eight(demo_run: tuple[Path, Done]) -> None:
    hard = {}
    for path in sorted((demo_run[0] / "site" / "boats").glob("*.html")):
        said = sentences(path.read_text(encoding="utf-8"))
        assert len(said) >= 2, path.name
        if (whole := grade(said)) > MOST_GRADE:
            hard[path.name] = whole
        hard |= {one: own for one in said if (own := grade([one])) > MOST_OF_ONE_SENTENCE}
    assert hard == {}
