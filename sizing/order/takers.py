"""What is still wanted of one thing, taker by taker."""

from __future__ import annotations

from collections import deque
from collections.abc import Hashable, Iterable
from decimal import Decimal
from typing import Generic, TypeVar

Taker = TypeVar("Taker", bound=Hashable)
Amount = TypeVar("Amount", int, Decimal)


class Takers(Generic[Taker, Amount]):
    """Those who still want something, and how much, in the order given.

    >>> waiting = Takers([("Grey Plover", 3), ("Dunlin", 2)])
    >>> waiting.take(4), waiting.rest()
    ([('Grey Plover', 3), ('Dunlin', 1)], [('Dunlin', 1)])
    """

    def __init__(self, wanted: Iterable[tuple[Taker, Amount]]) -> None:
        self._waiting: deque[tuple[Taker, Amount]] = deque(wanted)

    def take(self, amount: Amount) -> list[tuple[Taker, Amount]]:
        """Hand out as much of `amount` as is wanted; returns who gets how much."""
        given = []
        while self._waiting and amount > 0:
            taker, wanted = self._waiting.popleft()
            part = min(wanted, amount)
            amount -= part
            if part < wanted:
                self._waiting.appendleft((taker, wanted - part))
            if part:
                given.append((taker, part))
        return given

    def rest(self) -> list[tuple[Taker, Amount]]:
        """What nobody was given yet."""
        return list(self._waiting)
