"""When each line must be ordered, and which would come too late."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from math import ceil

from sizing.model import OrderLine, OrderProblem
from sizing.policy import Milestone
from sizing.words import long_date


@dataclass(frozen=True)
class DayOfNeed:
    """The day by which goods must be there: `margin` before what they are needed for, on `due`."""

    name: str
    due: date
    margin: timedelta

    @property
    def latest(self) -> date:
        """The last day on which they come in time."""
        return self.due - self.margin

    @property
    def told(self) -> str:
        """What they are needed for, and how long before."""
        days = self.margin.days
        ahead = f"{days} {'day' if days == 1 else 'days'} before" if days else "before"
        return f"{ahead} {self.name} on {self.due}"


def day_of_need(
    departure: date | None, milestones: Sequence[Milestone], margin_days: float
) -> DayOfNeed | None:
    """Return by when goods must be there; None where the policy has no day for it.

    They are needed at the first milestone that closes the work, since the parts are made up then, or else at
    departure, and are asked for `margin_days` earlier, part days rounded up. [derived]
    """
    margin = timedelta(days=ceil(margin_days))
    work = [one for one in milestones if one.closes == "work" and (departure is None or one.due <= departure)]
    if work:
        first = min(work, key=lambda one: one.due)
        return DayOfNeed(f"“{first.name}”", first.due, margin)
    return None if departure is None else DayOfNeed("departure", departure, margin)


def dated(
    lines: Sequence[OrderLine], need: DayOfNeed | None, milestones: Sequence[Milestone], today: date | None
) -> tuple[tuple[OrderLine, ...], tuple[OrderProblem, ...]]:
    """Return the lines with their suppliers' last day in their notes, and a problem for each late one.

    It is not the day on which the rally orders, which is a milestone of its own and comes before it.
    Last day = day of need - margin - lead time. Ordered today, a line is late if today + lead time is after
    the day of need less the margin; milestones it comes after are named in its note, but for those up to the
    day the order is placed, which cannot wait for it. Days are calendar days. [derived]
    """
    placed = max((one.due for one in milestones if one.closes == "orders"), default=date.min)
    noted: list[OrderLine] = []
    problems: list[OrderProblem] = []
    for line in lines:
        if not line.lead_days or not line.packs:
            noted.append(line)
            continue
        lead = timedelta(days=line.lead_days)
        words = [line.note] if line.note else []
        if need is not None:
            last, there = long_date(need.latest - lead), long_date(need.latest)
            words.append(f"Supplier's last day: {last}, to have it by {there}.")
        if today is not None:
            arrival = today + lead
            words += [
                f"Ordered on {today} it comes on {arrival}, after “{milestone.name}” on {milestone.due}."
                for milestone in milestones
                if today <= milestone.due < arrival and milestone.due > placed
            ]
            if need is not None and arrival > need.latest:
                supplier = f" from {line.supplier}" if line.supplier else ""
                late = f"after {need.name} on {need.due}" if arrival > need.due else f"not {need.told}"
                sentence = (
                    f"{line.description}{supplier} takes {line.lead_days} days: ordered on {today} it "
                    f"comes on {arrival}, {late}."
                )
                problems.append(OrderProblem(None, line.item, sentence))
        noted.append(replace(line, note=" ".join(words)))
    return tuple(noted), tuple(problems)
