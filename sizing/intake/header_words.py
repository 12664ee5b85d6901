"""The wordings of headers: how they are compared, and which column each stands for.

The list is `header_words.toml`, beside the wordings declared with each column in the register.
"""

from __future__ import annotations

import re
import tomllib
import unicodedata
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from importlib import resources
from types import MappingProxyType
from typing import Any, Final, NamedTuple

from sizing.field_kinds import Field
from sizing.fields import FIELD_BY_NAME, FIELDS

LANGUAGES: Final = ("en", "fr", "de", "nl", "es", "pt", "it", "sv", "da", "no")
"""The languages of cruising clubs whose wordings are known; those of the template too."""

_NO_WORD: Final = re.compile(r"[\W_]+")
_INITIALS: Final = re.compile(
    r"(?<![^\W_])((?:[^\W\d_]\.\s?){2,}[^\W\d_]?|[^\W\d_](?:\.[^\W\d_])+)(?![^\W_])"
)
_SINGLE: Final = re.compile(r"\b[a-z](?: [a-z])+\b")
_NUMBER_SIGN: Final = re.compile(r"(?<=\w) ?#|№|\bn[°º]\.?")
_LETTERS: Final = str.maketrans({"ø": "o", "æ": "ae", "œ": "oe", "ð": "d", "ł": "l", "º": "o"})
_OTHERS: Final = ("unsure", "units", "small", "short")


class Target(NamedTuple):
    """What a wording stands for: a column, what it says of displacement, and its place among its wordings."""

    field: Field
    basis: str
    rank: int


@dataclass(frozen=True)
class Unsure:
    """The columns that a word stands for between columns of the boat, and between columns of the gear.

    `alone`: the word is enough for `boat` where no other column stands for that; where one does, for `taken`.
    """

    boat: Field | None
    gear: Field | None
    alone: bool = False
    taken: Field | None = None


def normal_header(text: str) -> str:
    """Return a header as it is compared: no case, accents or punctuation, single spaces, initials joined.

    >>> normal_header(" Transom_Width "), normal_header("L.O.A.")
    ('transom width', 'loa')
    """
    plain = unaccented(_NUMBER_SIGN.sub(" no ", text.casefold()))
    if "." in plain:
        plain = _INITIALS.sub(lambda found: re.sub(r"[.\s]", "", found[1]) + " ", plain)
    words = " ".join(_NO_WORD.sub(" ", plain).split())
    return _SINGLE.sub(lambda found: found[0].replace(" ", ""), words)


def unaccented(text: str) -> str:
    """Return small letters without accents; other signs stay.

    >>> unaccented("längd, bådnr?")
    'langd, badnr?'
    """
    if text.isascii():
        return text
    decomposed = unicodedata.normalize("NFKD", text.translate(_LETTERS))
    return "".join(sign for sign in decomposed if not unicodedata.combining(sign))


@lru_cache(maxsize=8192)
def bag_of(normal: str) -> str:
    """Return the words of a normal header that say something, in long form and in the order of the alphabet.

    >>> bag_of("width of the transom") == bag_of("transom width")
    True
    """
    small, long_form = _small(), _long_forms()
    said = sorted(long_form.get(word, word) for word in normal.split() if word not in small)
    return " ".join(said or normal.split())


@cache
def _data() -> dict[str, Any]:
    text = resources.files("sizing.intake").joinpath("header_words.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


@cache
def _small() -> frozenset[str]:
    return frozenset(normal_header(word) for word in (*_data()["small"]["words"], "in"))


@cache
def _long_forms() -> Mapping[str, str]:
    return {normal_header(short): word for word, shorts in _data()["short"].items() for short in shorts}


def _wordings() -> Iterator[tuple[Field, str, str]]:
    """Every wording with its column and basis, in the order of their rank; (column, basis, wording)."""
    for field in FIELDS:
        for word in (field.name, *field.aliases):
            yield field, "", word
    for name, table in _data().items():
        if name in _OTHERS:
            continue
        field = FIELD_BY_NAME[name]
        for key, words in table.items():
            if isinstance(words, dict):
                for more in words.values():
                    yield from ((field, key, word) for word in more)
            else:
                yield from ((field, "", word) for word in words)


@cache
def known_headers() -> Mapping[str, Target]:
    """Return every wording of every column, normalised; those that say a basis are stronger."""
    known: dict[str, Target] = {}
    for rank, (field, basis, word) in enumerate(_wordings()):
        key = normal_header(word)
        if key not in known or (basis and known[key].field is field and not known[key].basis):
            known[key] = Target(field, basis, rank)
    for key in unsure_words():
        known.pop(key, None)
    return MappingProxyType(known)


@cache
def known_bags() -> Mapping[str, Target]:
    """Return the same by `bag_of`; what would stand for two columns stands for none."""
    bags: dict[str, Target] = {}
    twice: set[str] = set()
    for key, target in known_headers().items():
        bag = bag_of(key)
        held = bags.setdefault(bag, target)
        if (held.field, held.basis) != (target.field, target.basis):
            twice.add(bag)
    unsure = {bag_of(key) for key in unsure_words()}
    return MappingProxyType({bag: one for bag, one in bags.items() if bag not in twice | unsure})


@cache
def unsure_words() -> Mapping[str, Unsure]:
    """Return the words that are as often about something else, normalised."""
    return MappingProxyType(
        {
            normal_header(word): Unsure(
                FIELD_BY_NAME.get(one["boat"]),
                FIELD_BY_NAME.get(one["gear"]),
                one.get("alone", False),
                FIELD_BY_NAME.get(one.get("taken", "")),
            )
            for one in _data()["unsure"].values()
            for word in one["words"]
        }
    )


@cache
def header_units() -> Mapping[str, str]:
    """Return units as headers have them in other words than cells, normalised, and what each is."""
    return MappingProxyType(
        {normal_header(word): unit for unit, words in _data()["units"].items() for word in words}
    )
