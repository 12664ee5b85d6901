"""Reads the vocabulary: for every code of the engine the word that each reader reads."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, Final, Literal, get_args

if TYPE_CHECKING:
    from sizing.model import Level, Standing

Reader = Literal["skipper", "officer", "scrutineer"]
Group = Literal["standing", "level", "state", "stage", "plan", "part", "supply", "thing"]
READERS: Final[tuple[Reader, ...]] = get_args(Reader)


@dataclass(frozen=True)
class Term:
    """One word of the vocabulary. `key` is the engine's code, `words` what each reader reads for it."""

    key: str
    group: Group
    words: Mapping[Reader, str]
    meaning: str
    synonyms: tuple[str, ...]

    @property
    def word(self) -> str:
        """The skipper's word, under which it stands in the glossary."""
        return self.words["skipper"]

    @property
    def others(self) -> tuple[str, ...]:
        """What else it is called: the other readers' words, and what people may look for."""
        called = (*self.words.values(), *self.synonyms)
        return tuple(dict.fromkeys(word for word in called if word.lower() != self.word.lower()))

    @property
    def anchor(self) -> str:
        """Address of the word on the glossary page."""
        return "".join(c if c.isalnum() else "-" for c in self.word.lower()).strip("-")


@lru_cache(maxsize=1)
def _file() -> Mapping[str, Any]:
    text = files(__package__).joinpath("vocabulary.toml").read_text(encoding="utf-8")
    return MappingProxyType(tomllib.loads(text))


@lru_cache(maxsize=1)
def vocabulary() -> Mapping[tuple[Group, str], Term]:
    """Every term, by group and key."""
    terms = (
        Term(
            row["key"],
            row["group"],
            MappingProxyType({reader: row.get(reader, row["skipper"]) for reader in READERS}),
            row["meaning"],
            tuple(row["synonyms"]),
        )
        for row in _file()["term"]
    )
    return MappingProxyType({(term.group, term.key): term for term in terms})


def glossary() -> tuple[Term, ...]:
    """Every term as a glossary lists it: by the skipper's word."""
    terms = (term for term in vocabulary().values() if term.meaning and term.group != "stage")
    return tuple(sorted(terms, key=lambda term: term.word.lower()))


def word(group: Group, key: str, reader: Reader = "skipper") -> str:
    """The word that a reader reads for a code; KeyError for a code that is not in the vocabulary.

    >>> word("plan", "re-rig"), word("level", "shall", "officer")
    ('new rope, old cones kept', 'required')
    """
    return vocabulary()[group, key].words[reader]


def in_plain_words(name: str) -> str:
    """Return the engine's name of a joint or a part as a skipper reads it.

    >>> in_plain_words("attachment to bridle leg")
    'strong point to bridle leg'
    >>> in_plain_words("Attachment to bridle leg")
    'Strong point to bridle leg'
    """
    plain = word("thing", "attachment")
    return name.replace("attachment", plain).replace("Attachment", f"{plain[0].upper()}{plain[1:]}")


def words_for(reader: Reader) -> dict[str, Mapping[str, str]]:
    """Every code with the word that a reader reads, by group; how much is left to do under “left”.

    >>> words_for("scrutineer")["level"]["should"]
    'advised'
    """
    found: dict[str, dict[str, str]] = {}
    for (group, key), term in vocabulary().items():
        found.setdefault(group, {})[key] = term.words[reader]
    return {**found, "left": _left(reader)}


def standing_words(standing: Standing, reader: Reader = "skipper", *, below_advised: bool = False) -> str:
    """How a boat stands on a check, in a reader's words.

    >>> from sizing.model import Standing
    >>> standing_words(Standing.UNPROVEN), standing_words(Standing.WAIVED, "officer")
    ('not shown', 'waived')
    """
    return word("standing", "below advised" if below_advised else standing.words, reader)


def level_words(level: Level, reader: Reader = "skipper") -> str:
    """How much a check counts, in a reader's words.

    >>> level_words("shall"), level_words("should")
    ('must', 'advised')
    """
    return word("level", level, reader)


def open_words(required: int, advised: int, reader: Reader = "skipper") -> str:
    """How much is left to do, in a reader's words. An officer reads of checks, which are no jobs.

    >>> open_words(7, 0), open_words(0, 2, "officer"), open_words(0, 0)
    ('7 to do', 'checks open: none required, 2 advised', 'nothing to do')
    """
    which = (
        "both" if required and advised else "required" if required else "advised" if advised else "nothing"
    )
    return _left(reader)[which].format(required=f"{required:,}", advised=f"{advised:,}")


def _left(reader: Reader) -> Mapping[str, str]:
    texts: Mapping[str, Mapping[str, str]] = _file()["open"]
    return texts[reader if reader in texts else "skipper"]
