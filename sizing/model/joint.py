"""What joins two parts of the rig, and the proof that each goes through the next."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

ConnectorKind = Literal["shackle", "two shackles", "eye through eye", "none fits"]


@dataclass(frozen=True)
class Passing:
    """One part that has to go through, or between, another; m."""

    part: str
    part_m: float
    opening: str
    opening_m: float

    @property
    def room_m(self) -> float:
        """What is left beside the part; below nothing it does not pass."""
        return self.opening_m - self.part_m


@dataclass(frozen=True)
class Joint:
    """One joint of a rig, `count` alike: the parts inboard and outboard of it, and what joins them.

    `place` is its turn in the order of closing, from 1. `items` are the catalogue's ids of the connectors of
    one joint, none where eye is spliced through eye. `steps` are told in the order of work; `asks` are what
    a part that is not ours, such as a plate on the boat, has to be like.
    """

    parts: tuple[str, str]
    count: int
    place: int
    kind: ConnectorKind
    items: tuple[str, ...]
    connector: str
    load_n: float
    strength_required_n: float
    strength_n: float
    proof: tuple[Passing, ...]
    steps: tuple[str, ...]
    asks: tuple[str, ...]
    source: str

    @property
    def name(self) -> str:
        """What it joins to what."""
        inner, outer = self.parts
        return f"{'bridle legs' if inner == 'bridle leg' else inner} to {outer}"

    @property
    def fits(self) -> bool:
        """Whether a connector was found that every part passes."""
        return self.kind != "none fits"

    @property
    def words(self) -> str:
        """What joins it, in a few words for a pick list or a drawing."""
        each = f"{self.count} × " if self.count > 1 else ""
        return f"{each}{self.connector}"
