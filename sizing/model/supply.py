"""How a boat gets the parts she is short of, with who said so: consent to the rally's order, or not."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Final, Literal

CONSENT: Final = "rally order"
"""The word of the column gear_supply that lets the rally buy for a boat."""

SupplySource = Literal["", "sheet", "officer", "skipper"]


@dataclass(frozen=True)
class Supply:
    """What was said of how one boat gets her parts.

    `word` is one of the words of the column gear_supply, "" where nobody said; `day` and `by` are when and by
    whom it was said, where that is known; `price` what she agreed to pay, in `currency`. `another_way` says
    that nothing was said in the column, and her notes speak of another way than the rally's order.
    """

    word: str = ""
    day: date | None = None
    by: str = ""
    source: SupplySource = ""
    price: Decimal | None = None
    currency: str = ""
    another_way: bool = False
