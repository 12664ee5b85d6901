"""The register of steps, read from `steps.toml` once, and what of it one boat is told."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources
from types import MappingProxyType
from typing import Any, Final, Literal, get_args

from sizing.policy import Haul

Stage = Literal["decide", "harbour", "ready", "launch", "lie", "wrong", "cut", "recover", "after"]
Rig = Literal["series", "other"]
Place = Literal["page", "card"]

STAGES: Final[tuple[Stage, ...]] = get_args(Stage)
"""In the order in which they are needed."""

WHAT_SIGNS_MEAN: Final = ("C", "D", "?", "N")
"""Signs that every card tells, whether or not it has one of them."""


@dataclass(frozen=True)
class Sign:
    """Where a step comes from: a key of the register's sources, and the section where one is known."""

    source: str
    section: str = ""


@dataclass(frozen=True)
class Step:
    """One step. `key` and `say` are its short form, which the sea card has; the page has all of it.

    `only` names the one place it stands in, where it is not for both; `gear` what it names of the gear.
    """

    stage: Stage
    key: str
    say: str
    more: str
    why: str
    caution: str
    signs: tuple[Sign, ...]
    hulls: frozenset[str]
    rig: str
    haul: str
    gear: tuple[str, ...]
    only: str

    def is_for(self, place: Place, boat_type: str, rig: Rig, haul: Haul) -> bool:
        """Whether such a boat ("motor multihull", say), with such a rig and means of hauling, is told it."""
        return (
            self.only in {"", place}
            and self.hulls <= set(boat_type.split())
            and self.rig in {"", rig}
            and self.haul in {"", haul}
        )


@dataclass(frozen=True)
class Register:
    """All steps in order, what the signs mean (at length and as a mark), and whose each piece of gear is.

    `gear` maps a piece of gear to "kit", where it comes with a new drogue, or to "hers".
    """

    steps: tuple[Step, ...]
    caution: str
    meaning: Mapping[str, str]
    mark: Mapping[str, str]
    legend: Mapping[str, str]
    gear: Mapping[str, str]

    def steps_of(self, place: Place, boat_type: str, rig: Rig, haul: Haul) -> Iterator[Step]:
        """The steps of one boat, in order."""
        return (step for step in self.steps if step.is_for(place, boat_type, rig, haul))

    def legend_of(self, sources: frozenset[str], *, with_room: bool) -> str:
        """What the signs on a card mean; a source that is not on it is left out."""
        told = [self.legend["said"], *(self.meaning[sign] for sign in WHAT_SIGNS_MEAN)]
        told += [words for sign, words in self.meaning.items() if sign in sources - set(WHAT_SIGNS_MEAN)]
        room = [self.legend["room"]] if with_room else []
        return " ".join([*told, *room, self.legend["end"]])


@lru_cache(maxsize=1)
def register() -> Register:
    """Return the register as it stands in the file."""
    content = resources.files(__package__).joinpath("steps.toml").read_text(encoding="utf-8")
    found: dict[str, Any] = tomllib.loads(content)
    (caution,) = found["caution"]
    return Register(
        steps=tuple(_step(stage, item) for stage in STAGES for item in found[stage]),
        caution=caution["say"],
        meaning=MappingProxyType(found["sign"]),
        mark=MappingProxyType(found["mark"]),
        legend=MappingProxyType(found["legend"]),
        gear=MappingProxyType({item["name"]: item["of"] for item in found["gear"]}),
    )


def _step(stage: Stage, item: Mapping[str, Any]) -> Step:
    return Step(
        stage,
        item["key"],
        item["say"],
        item.get("more", ""),
        item.get("why", ""),
        item.get("caution", ""),
        tuple(Sign(*sign.split(" ", 1)) for sign in item["sign"]),
        frozenset(item.get("hulls", ())),
        item.get("rig", ""),
        item.get("haul", ""),
        tuple(item.get("gear", ())),
        item.get("on", ""),
    )
