"""Texts that stand in several places of the site: sources, cautions, how to build. Data in TOML."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from typing import Any


@dataclass(frozen=True)
class Source:
    """What a source tag stands for."""

    tag: str
    kind: str
    title: str
    used_for: str


@dataclass(frozen=True)
class Caution:
    """A caution, and the sections of a boat's page that it stands in."""

    text: str
    at: tuple[str, ...]


@dataclass(frozen=True)
class Step:
    """One step of building."""

    title: str
    text: str
    source: str = ""


@dataclass(frozen=True)
class Tested:
    """What a test holds against a source outside the program, and the most it may be off."""

    what: str
    against: str
    most: str
    test: str


@dataclass(frozen=True)
class Texts:
    """Everything the site says that does not come from a run."""

    headline_caution: str
    cautions: tuple[Caution, ...]
    sources: tuple[Source, ...]
    tested: tuple[Tested, ...]
    build: tuple[Step, ...]
    other_words: Mapping[tuple[str, str], str]
    """What people also type for an entry of the search index, by its address and title."""


def _read(name: str) -> dict[str, Any]:
    return tomllib.loads(files(__package__).joinpath(name).read_text(encoding="utf-8"))


@lru_cache(maxsize=1)
def load_texts() -> Texts:
    """Read all standing texts once."""
    cautions, steps = _read("cautions.toml"), _read("steps.toml")
    return Texts(
        headline_caution=cautions["headline"],
        cautions=tuple(Caution(item["text"], tuple(item["at"])) for item in cautions["caution"]),
        sources=tuple(Source(**item) for item in _read("sources.toml")["source"]),
        tested=tuple(Tested(**item) for item in _read("tested.toml")["tested"]),
        build=tuple(Step(**item) for item in steps["build"]),
        other_words={
            (item["address"], item["title"]): item["words"] for item in _read("search_words.toml")["also"]
        },
    )
