"""The words of the sea card, from their one file."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources
from types import MappingProxyType
from typing import Any, Final

STAGES: Final = ("decide", "ready", "launch", "lie", "wrong", "cut", "recover", "caution")


@dataclass(frozen=True)
class CardStep:
    """One step: the words that stand out, the rest, where it comes from, and whom it is for."""

    key: str
    text: str
    sign: str
    hulls: frozenset[str]
    rig: str

    def is_for(self, boat_type: str, rig: str) -> bool:
        """Whether it stands on the card of such a boat ("motor multihull", say) with such a rig."""
        return self.hulls <= set(boat_type.split()) and self.rig in {"", rig}


@dataclass(frozen=True)
class CardTexts:
    """All words: the steps of each stage, and what the signs mean."""

    stages: Mapping[str, tuple[CardStep, ...]]
    legend: Mapping[str, str]

    def legend_of(self, signs: frozenset[str]) -> str:
        """What the signs on a card mean; what is not on it is left out."""
        always = {"said", "end"}
        return " ".join(words for sign, words in self.legend.items() if sign in always | signs)


@lru_cache(maxsize=1)
def card_texts() -> CardTexts:
    """Return the words as they stand in the file."""
    content = resources.files("sizing.order.cards").joinpath("sea_card.toml").read_text(encoding="utf-8")
    found: dict[str, Any] = tomllib.loads(content)
    stages = {stage: tuple(_step(item) for item in found[stage]) for stage in STAGES}
    return CardTexts(MappingProxyType(stages), MappingProxyType(found["legend"]))


def _step(item: Mapping[str, Any]) -> CardStep:
    return CardStep(
        item.get("key", ""), item["text"], item.get("sign", ""), frozenset(item.get("hulls", ())),
        item.get("rig", ""),
    )  # fmt: skip
