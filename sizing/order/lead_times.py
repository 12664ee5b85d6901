"""When each line must be ordered, and which would come too late."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta

from sizing.model import OrderLine, OrderProblem
from sizing.policy import Milestone


def dated(
    lines: Sequence[OrderLine], departure: date | None, milestones: Sequence[Milestone], today: date | None
) -> tuple[tuple[OrderLine, ...], tuple[OrderProblem, ...]]:
    """Return the lines with their suppliers' last day in their notes, and a problem for each late one.

    It is not the day on which the rally orders, which is a milestone of its own and comes before it.
    Last day = day of need - lead time, where the need is the first milestone that closes the work, since the
    parts are made up then, or else the departure. Ordered today, a line is late if today + lead time is after
    the need; milestones it comes after are named in its note, but for those up to the day the order is
    placed, which cannot wait for it. Days are calendar days. [derived]
    """
    need = _day_of_need(departure, milestones)
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
            words.append(
                f"Supplier's last day: {need.due - lead}, to have it before {_named(need)} on {need.due}."
            )
        if today is not None:
            arrival = today + lead
            words += [
                f"Ordered on {today} it comes on {arrival}, after “{milestone.name}” on {milestone.due}."
                for milestone in milestones
                if today <= milestone.due < arrival and milestone.due > placed
            ]
            if need is not None and arrival > need.due:
                supplier = f" from {line.supplier}" if line.supplier else ""
                sentence = (
                    f"{line.description}{supplier} takes {line.lead_days} days: ordered on {today} it "
                    f"comes on {arrival}, after {_named(need)} on {need.due}."
                )
                problems.append(OrderProblem(None, line.item, sentence))
        noted.append(replace(line, note=" ".join(words)))
    return tuple(noted), tuple(problems)


def _day_of_need(departure: date | None, milestones: Sequence[Milestone]) -> Milestone | None:
    work = [one for one in milestones if one.closes == "work" and (departure is None or one.due <= departure)]
    if work:
        return min(work, key=lambda one: one.due)
    return None if departure is None else Milestone(name="departure", due=departure)


def _named(need: Milestone) -> str:
    return f"“{need.name}”" if need.closes else need.name
