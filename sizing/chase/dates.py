"""By when something must be done: the rally's milestones, told apart by their dates and by what they close.

Milestones have free names, and nothing is guessed from words. A milestone may say in the policy what it
closes ("orders", "work" or "inspection"); without that the order of the dates decides.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final, Literal, get_args

from sizing.policy import Milestone, Rally
from sizing.words import long_date

Stage = Literal["orders", "work", "inspection", "departure"]
"""What an action must come before: the closing of the order, the work, the scrutineer, the start."""

STAGES: Final[tuple[Stage, ...]] = get_args(Stage)
DEPARTURE: Final = "departure"


@dataclass(frozen=True)
class Due:
    """A last day, and the milestone it is; None where the policy gives no date at all."""

    day: date | None
    milestone: str

    @property
    def words(self) -> str:
        """The last day in words."""
        if self.day is None:
            return "no date is set"
        return f"by {long_date(self.day)}" + (f" ({self.milestone})" if self.milestone else "")

    def is_over(self, today: date) -> bool:
        """Whether the last day has passed."""
        return self.day is not None and self.day < today

    def days_left(self, today: date) -> int | None:
        """Days until then; negative when it has passed."""
        return None if self.day is None else (self.day - today).days


def due_for(stage: Stage, rally: Rally, *, lead_days: int = 0) -> Due:
    """Return by when an action must be done that has to come before `stage`.

    1. Milestones after departure do not count.
    2. The last milestone that closes the stage, if any does.
    3. Else the last milestone that says nothing of what it closes, lies after every one that closes an
       earlier stage, and is not after what the stage must leave time for: the next later stage that has a
       date (in the end departure), less `lead_days` for orders.
    4. Else that date itself; without a departure and without milestones, no date. [practice]
    """
    milestones = [m for m in rally.milestones if rally.departure is None or m.due <= rally.departure]
    place = STAGES.index(stage)
    own = _last([m for m in milestones if m.closes == stage])
    if own:
        return Due(own.due, own.name)
    limit, name = _limit(STAGES[place + 1 :], milestones, rally.departure)
    if limit is not None and stage == "orders" and lead_days:
        limit, name = limit - timedelta(days=lead_days), f"{lead_days} days of delivery before {name}"
    if stage == DEPARTURE:
        return Due(rally.departure, DEPARTURE) if rally.departure else _or_none(_last(milestones))
    earlier = [m.due for m in milestones if m.closes and STAGES.index(m.closes) < place]
    after = max(earlier, default=date.min)
    unsaid = [m for m in milestones if m.closes is None and m.due > after]
    found = _last([m for m in unsaid if limit is None or m.due <= limit])
    return Due(found.due, found.name) if found else Due(limit, name)


def _limit(
    later: Sequence[Stage], milestones: Sequence[Milestone], departure: date | None
) -> tuple[date | None, str]:
    for stage in later:
        closing = _last([m for m in milestones if m.closes == stage])
        if closing:
            return closing.due, closing.name
    return departure, DEPARTURE if departure else ""


def _last(milestones: Sequence[Milestone]) -> Milestone | None:
    """The latest; of two on one day the one written last."""
    return max(enumerate(milestones), key=lambda pair: (pair[1].due, pair[0]), default=(0, None))[1]


def _or_none(milestone: Milestone | None) -> Due:
    return Due(milestone.due, milestone.name) if milestone else Due(None, "")
