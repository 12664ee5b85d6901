"""What the boats of a season owe for parts, and what they paid."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from typing import Literal


@dataclass(frozen=True)
class ReceivedCost:
    """What came of one item in one delivery, and what it cost by the order it came for.

    `quantity` is in the item's unit; `cost` None where that order had no price for it. `needs` is what each
    boat needed of the item then, by the key of her entry number.
    """

    item: str
    quantity: Decimal
    cost: Decimal | None
    currency: str
    needs: Mapping[str, Decimal]


@dataclass(frozen=True)
class Charge:
    """One boat's share of what a season bought: `parts` at cost, and `waste`.

    Waste is what packs have to be whole for: spares, offcuts and the last cents.
    """

    parts: Decimal = Decimal("0.00")
    waste: Decimal = Decimal("0.00")

    @property
    def owes(self) -> Decimal:
        """All of it."""
        return self.parts + self.waste


@dataclass(frozen=True)
class Charges:
    """What each boat owes for what came and what is ordered, by the key of her entry number; "" is the fleet.

    `total` is what was received and is ordered now; all that is owed adds up to it to the cent. `by_item` has
    each boat's share of each item. `notes` are sums that could not be counted,
    `described` the items in words.
    """

    owed: Mapping[str, Charge] = field(default_factory=dict)
    by_item: Mapping[str, Mapping[str, Decimal]] = field(default_factory=dict)
    received: Decimal = Decimal("0.00")
    total: Decimal = Decimal("0.00")
    currency: str = ""
    notes: tuple[str, ...] = ()
    described: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Payment:
    """What a boat paid towards her parts, or what went back to her."""

    entry_no: str
    boat_name: str
    kind: Literal["payment", "refund"]
    amount: Decimal
    currency: str
    day: date
    by: str
