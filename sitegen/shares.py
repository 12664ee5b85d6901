"""A boat's share of what is bought for the fleet."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from decimal import Decimal
from typing import NamedTuple

from sizing.model import Order
from sizing.order import allocate


class ShareLine(NamedTuple):
    """What one thing of the order costs one boat."""

    description: str
    amount: Decimal | None
    priced: bool


@dataclass(frozen=True)
class Share:
    """A boat's share of what is bought for the fleet; `amount` is None where nothing of it has a price."""

    amount: Decimal | None
    currency: str
    lines: tuple[ShareLine, ...]

    @property
    def whole(self) -> bool:
        """Whether everything of it has a price."""
        return all(line.priced for line in self.lines)


class Shares:
    """What each boat pays of an order."""

    def __init__(self, order: Order) -> None:
        """Share out every line of the order once."""
        self._order = order
        self._lines: dict[int, dict[str, ShareLine]] = defaultdict(dict)
        amounts = allocate(order.lines)
        for line in order.lines:
            for row in line.boats:
                before = self._lines[row].get(line.item)
                priced = line.amount is not None and (before is None or before.priced)
                amount = amounts.get(line.item, {}).get(row)
                self._lines[row][line.item] = ShareLine(line.description, amount, priced)

    def of(self, row: int) -> Share:
        """Return the share of boat `row`; without lines where nothing is bought for her."""
        lines = tuple(self._lines.get(row, {}).values())
        return Share(self._order.boat_totals.get(row), self._order.currency, lines)
