"""A boat's share of what is bought for the fleet, with all that came before; or what it would be."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import NamedTuple

from sizing.entry_key import entry_key
from sizing.model import FleetColumns, Order, OrderLine
from sizing.order import allocate
from sizing.order.charges import owed_by


class ShareLine(NamedTuple):
    """What one thing of the order costs one boat."""

    description: str
    amount: Decimal | None
    priced: bool


@dataclass(frozen=True)
class Share:
    """A boat's share of what is bought for the fleet, or what it would be where nothing is bought for her.

    `amount` is None where nothing of it has a price. `owed` is what she owes in all, for what came too; None
    where nothing was or is bought for her.
    """

    amount: Decimal | None
    currency: str
    lines: tuple[ShareLine, ...]
    owed: Decimal | None = None

    @property
    def whole(self) -> bool:
        """Whether everything of it has a price."""
        return all(line.priced for line in self.lines)


class Shares:
    """What each boat pays of an order, or would pay."""

    def __init__(self, order: Order, fleet: FleetColumns) -> None:
        """Share out every line of the order once."""
        self._order = order
        self._entries = [str(entry or "") for entry in fleet.text["entry_no"]]
        self._lines: dict[int, dict[str, ShareLine]] = defaultdict(dict)
        self._take_in(order.lines, lambda row: True)
        self._take_in_what_came()
        self._take_in(order.would_be.lines, lambda row: not order.buys_for(row))

    def of(self, row: int) -> Share:
        """Return the share of boat `row`; without lines where nothing is bought for her."""
        order, owed = self._order, self.owed(row)
        amount = owed if order.buys_for(row) else order.would_be.boat_totals.get(row)
        return Share(amount, order.currency, tuple(self._lines.get(row, {}).values()), owed)

    def owed(self, row: int) -> Decimal | None:
        """Return what boat `row` owes in all; None where nothing was or is bought for her."""
        return owed_by(self._order, self._entries[row])

    def _take_in(self, lines: Sequence[OrderLine], counts: Callable[[int], bool]) -> None:
        """Take in what each thing of an order costs the boats that count."""
        amounts = allocate(lines)
        for line in lines:
            for row in filter(counts, line.boats):
                before = self._lines[row].get(line.item)
                priced = line.amount is not None and (before is None or before.priced)
                amount = amounts.get(line.item, {}).get(row)
                self._lines[row][line.item] = ShareLine(line.description, amount, priced)

    def _take_in_what_came(self) -> None:
        """Put what boats owe, with all that came before, in the place of their shares of the order alone."""
        charges = self._order.charges
        if not charges.received:
            return
        rows = {entry_key(entry): row for row, entry in enumerate(self._entries)}
        for item, shares in charges.by_item.items():
            for row, share in ((rows[key], share) for key, share in shares.items() if key in rows):
                before = self._lines[row].get(item)
                name = before.description if before else charges.described.get(item, item)
                self._lines[row][item] = ShareLine(name, share, before is None or before.priced)
