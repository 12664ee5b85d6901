"""What is written on every length and box of a season, and where it is."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Final, Literal

State = Literal["whole", "offcut", "piece", "issued", "aboard", "cut up", "not found"]
"""As it came; loose; cut for a boat; handed to her, while she needs it; hers; cut; missed by a stocktake."""

IN_HAND: Final[tuple[State, ...]] = ("whole", "offcut", "piece")
"""States of what lies with the club."""


@dataclass(frozen=True)
class Tagged:
    """One length, or one box, roll or bag of what is bought by the sum.

    `amount` is in the item's unit, of a length in m; `left` what is still there of a box. `origin` is the tag
    that it was cut from, or the file it came with. `ends_m` is what was lost at its ends when it was cut, so
    that a length is its pieces, its offcut and its ends. `counted`: a stocktake found it.
    """

    tag: str
    item: str
    description: str
    unit: str
    amount: Decimal
    state: State
    origin: str
    single: bool = True
    left: Decimal = Decimal(0)
    entry_no: str = ""
    purpose: str = ""
    ends_m: Decimal = Decimal(0)
    counted: bool = False

    @property
    def length_mm(self) -> int:
        """Length of a single length in mm."""
        return int(self.amount * 1000)
