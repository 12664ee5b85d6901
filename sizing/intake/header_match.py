"""One header by itself: which column it stands for, how sure that is, and the unit that it gives.

A wording of the list, in any order of its words, is beyond doubt. A slip of the pen is too, where one letter
of a word (of two words in a long wording) parts it from a wording of one column, and three more letters at
least from those of any other: `tests/sizing/intake/test_header_corpus.py` measures hits and wrong hits.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache, lru_cache
from typing import Final, Literal, NamedTuple

from rapidfuzz import fuzz, process
from rapidfuzz.distance import OSA

from sizing.field_kinds import Field
from sizing.intake.header_words import (
    Target,
    bag_of,
    header_units,
    known_bags,
    known_headers,
    normal_header,
    unsure_words,
)
from sizing.model import HeaderUnit
from sizing.units import normal_unit, unit_factors

_LONGEST: Final = 80
_BRACKET: Final = re.compile(r"[\(\[\{<]([^()\[\]{}<>]*)[\)\]\}>]")
_SEPARATORS: Final = re.compile(r"[\s_,/;:\-]+")
_PREPOSITIONS: Final = frozenset(("in", "en", "em", "i", "as"))
_KINDS: Final = ("length", "mass", "force", "area", "speed")
_UNCLEAR: Final = ("ton", "tons")
SHORTEST_SLIP: Final = 6
"""Letters from which one slip is looked for; in shorter words it makes another word too often."""
SHORTEST_WORD: Final = 5
"""Letters of a word in which a slip is taken for one."""
LONG_WORDING: Final = 14
"""Letters from which a wording may have two slips."""
MARGIN: Final = 3
"""How many letters further off the nearest wording of any other column has to be.

Of slips of the pen in all wordings, 73 in 100 are read with 3, and no header of the corpus is taken for
another thing. With 1 or 2 it is 80, and "Anchor", "Langue" and "Height" are taken for columns; with 4, 60.
"""

LIKE: Final = 75.0
"""Likeness, of 100, from which a column is named as perhaps meant."""

How = Literal["exact", "slip", "unsure"]


class Match(NamedTuple):
    """The column a header stands for, the unit it gives, and what it says of displacement.

    `how`: a wording of the list, a slip of the pen in one, or a word as often about something else.
    """

    field: Field
    unit: HeaderUnit | None
    basis: str = ""
    rank: int = 0
    how: How = "exact"
    wording: str = ""


def recognise(header: str) -> Match | None:
    """Return what a header stands for, or None for one not ours.

    >>> field, unit, *_ = recognise("Displacement (lb)")
    >>> field.name, unit.word
    ('displacement', 'lb')
    """
    header = " ".join(header.split())  # a header may be broken over lines
    if len(header) > _LONGEST or not header[:1].isalpha():
        return None
    return _by_list(header) or _by_slip(header)


def name_of(header: str) -> str | None:
    """Return the name of the column a header stands for by the list, None for one not ours.

    Slips are left aside: cells are asked about too, where the header row is looked for.
    """
    header = " ".join(header.split())
    match = _by_list(header) if len(header) <= _LONGEST and header[:1].isalpha() else None
    return match.field.name if match else None


@lru_cache(maxsize=8192)
def _by_list(header: str) -> Match | None:
    readings = list(_readings(header))
    for name, unit in readings:
        target = _target(name) or known_bags().get(bag_of(name)) or _joined().get(name.replace(" ", ""))
        if target and _fits(target.field, unit):
            return Match(target.field, unit, target.basis, target.rank, wording=bag_of(name))
    for name, unit in readings:
        unsure = unsure_words().get(name)
        field = unsure and (unsure.boat or unsure.gear)
        if field and (unit is None or field.dimension):
            return Match(field, unit, how="unsure", wording=name)
    return None


@lru_cache(maxsize=1024)
def _by_slip(header: str) -> Match | None:
    for name, unit in _readings(header):
        near = _slip(name)
        if near and _fits(near.field, unit):
            return Match(near.field, unit, near.basis, near.rank, "slip", bag_of(name))
    return None


def _fits(field: Field, unit: HeaderUnit | None) -> bool:
    """Whether a column may have a unit at all; which one is looked at when the columns are mapped."""
    return unit is None or field.dimension is not None


def _readings(header: str) -> Iterator[tuple[str, HeaderUnit | None]]:
    """Yield the ways to part a header into a normal name and a unit, the plainest first."""
    yield normal_header(header), None
    brackets = _BRACKET.findall(header)
    outside = " ".join(_BRACKET.sub(" ", header).split())
    wll = bool(re.search(r"\bwll\b", header, re.IGNORECASE))
    rest: list[str] = []
    found = ""
    for bracket in brackets:
        if all(_unit(piece) for piece in bracket.split("/")) and "/" in bracket:
            continue  # two units are none
        for piece in (piece for piece in re.split(r"[,;]", bracket) if piece.strip()):
            unit = _unit(piece)
            if unit and not found:
                found = unit
            else:
                rest.append(piece)
    if found:
        yield from _named([outside, *rest], found, wll=wll)
        return
    name = " ".join([outside, *rest])
    if brackets:
        yield normal_header(name), None
    words = [word for word in _SEPARATORS.split(outside) if word]
    for pieces_no in (2, 1):
        if len(words) > pieces_no and (unit := _unit(" ".join(words[-pieces_no:]))):
            left = words[:-pieces_no]
            if len(left) > 1 and left[-1].casefold() in _PREPOSITIONS:
                left = left[:-1]
            yield from _named([" ".join(left), *rest], unit, wll=wll)
            return


def _named(parts: list[str], unit: str, *, wll: bool) -> Iterator[tuple[str, HeaderUnit | None]]:
    name = normal_header(" ".join(parts))
    if wll:
        bare = " ".join(re.sub(r"\bwll\b", "", name).split())
        yield bare, HeaderUnit(unit, True)
        return
    yield name, HeaderUnit(unit, False)


@lru_cache(maxsize=1024)
def _unit(text: str) -> str:
    """Return a unit as cells have it, from how headers write it; "" for none."""
    word = re.sub(r"\bwll\b", "", normal_unit(text)).strip(" ,/:-")
    first, _, after = word.partition(" ")
    if after and first in _PREPOSITIONS:
        word = after
    if word in _UNCLEAR or any(word in unit_factors(kind) for kind in _KINDS):
        return word
    return header_units().get(normal_header(word), "")


@cache
def _choices() -> tuple[str, ...]:
    return tuple(dict.fromkeys((*known_headers(), *known_bags())))


@cache
def _joined() -> dict[str, Target]:
    """Wordings without spaces: "BOATNAME"; what would stand for two columns stands for none."""
    found: dict[str, Target] = {}
    for wording, target in known_headers().items():
        key = wording.replace(" ", "")
        if found.setdefault(key, target)[:2] != target[:2]:
            found.pop(key)
    return {key: one for key, one in found.items() if key not in unsure_words()}


def _target(wording: str) -> Target | None:
    return known_headers().get(wording) or known_bags().get(wording)


def _slip(name: str) -> Target | None:
    """Return the column of which a name is a wording but for a slip of the pen, if that is beyond doubt."""
    if len(name) < SHORTEST_SLIP:
        return None
    allowed = 2 if len(name) >= LONG_WORDING else 1
    furthest = allowed + MARGIN
    for said in dict.fromkeys((name, bag_of(name))):
        near = process.extract(said, _choices(), scorer=OSA.distance, score_cutoff=furthest - 1, limit=None)
        best = min((distance for _, distance, _ in near), default=furthest)
        if best > allowed:
            continue
        fields = {
            (one.field.name, one.basis)
            for wording, distance, _ in near
            if distance < best + MARGIN and (one := _target(wording))
        }
        doubtful = any(OSA.distance(said, word) < best + MARGIN for word in unsure_words())
        wording = next(wording for wording, distance, _ in near if distance == best)
        digits = re.findall(r"\d", said) == re.findall(r"\d", wording)
        if len(fields) == 1 and not doubtful and digits and _one_letter_a_word(said, wording):
            return _target(wording)
    return None


def _one_letter_a_word(said: str, wording: str) -> bool:
    """Whether a wording is so but for one letter of long words, or a space; a plural is another word."""
    if said.replace(" ", "") == wording.replace(" ", ""):
        return True
    pairs = list(zip(said.split(), wording.split(), strict=False))
    if len(said.split()) != len(wording.split()):
        return False
    changed = [(one, two) for one, two in pairs if one != two]
    return all(
        min(len(one), len(two)) >= SHORTEST_WORD
        and OSA.distance(one, two) == 1
        and one.rstrip("s") != two.rstrip("s")
        for one, two in changed
    )


def near_columns(name: str) -> list[str]:
    """Return the columns whose wordings a header resembles most, the nearest first: what may be meant."""
    key = normal_header(_BRACKET.sub(" ", name))
    if not 2 < len(key) <= 60:
        return []
    near = process.extract(key, _choices(), scorer=fuzz.ratio, score_cutoff=LIKE, limit=8)
    targets = (_target(wording) for wording, _, _ in near)
    return list(dict.fromkeys(one.field.name for one in targets if one))
