"""How a boat gets the parts of her plan: what each of her people and the office is told of it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Final

from sizing.model import MusterResult
from sizing.words import long_date, word


@dataclass(frozen=True)
class Getting:
    """Whether the rally's order has her parts, and what was said: a word of gear_supply, "" for nothing.

    `unmade`: the workshop as planned does not get her kit ready in its days.
    """

    ordered: bool = True
    word: str = ""
    day: date | None = None
    another_way: bool = False
    unmade: bool = False

    @property
    def to_say(self) -> bool:
        """Whether her people have still to say whether the rally is to order."""
        return not self.ordered and not self.word

    @property
    def said(self) -> str:
        """What was said, as her people read it."""
        return word("supply", self.word or "not said")


THROUGH_THE_RALLY: Final = Getting()
UNMADE: Final = (
    "The workshop as it is planned has no room for this kit: ask the office who is to make it, and by when."
)


def getting_of(result: MusterResult, row: int) -> Getting:
    """Return how boat `row` gets her parts."""
    supply, plan = result.order.supply(row), result.workshop
    unmade = plan is not None and row in plan.order and row not in plan.ready
    return Getting(result.order.buys_for(row), supply.word, supply.day, supply.another_way, unmade)


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
