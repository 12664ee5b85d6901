"""How a boat gets the parts of her plan: what each of her people and the office is told of it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Final

from sizing.model import Order
from sizing.words import long_date, word


@dataclass(frozen=True)
class Getting:
    """Whether the rally's order has her parts, and what was said: a word of gear_supply, "" for nothing."""

    ordered: bool = True
    word: str = ""
    day: date | None = None
    another_way: bool = False

    @property
    def to_say(self) -> bool:
        """Whether her people have still to say whether the rally is to order."""
        return not self.ordered and not self.word

    @property
    def said(self) -> str:
        """What was said, as her people read it."""
        return word("supply", self.word or "not said")


THROUGH_THE_RALLY: Final = Getting()


def getting_of(order: Order, row: int) -> Getting:
    """Return how boat `row` gets her parts."""
    supply = order.supply(row)
    return Getting(order.buys_for(row), supply.word, supply.day, supply.another_way)


def ordering_words(getting: Getting) -> str:
    """Return whether the rally buys a boat's parts, and why, as her people read it.

    >>> ordering_words(Getting(ordered=False, word="hire or borrow"))
    'Said of your boat: hire or borrow. The rally orders nothing for you.'
    """
    on = f" on {long_date(getting.day)}" if getting.day else ""
    if getting.word:
        said = f"Said of your boat{on}: {getting.said}."
        return said if getting.ordered else f"{said} The rally orders nothing for you."
    if getting.ordered:
        return "Ordered unless you decline."
    if getting.another_way:
        return "Your entry speaks of getting them another way, so nothing is ordered. Say which it is."
    return "Nothing is ordered for you before you say that you want it."
