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
    """Return the lines with the last day to order them in their notes, and a problem for each late one.

    Last day = departure - lead time. Ordered today, a line is late if today + lead time is after departure;
    milestones it comes after are named in its note. Days are calendar days. [derived]
    """
    noted: list[OrderLine] = []
    problems: list[OrderProblem] = []
    for line in lines:
        if not line.lead_days or not line.packs:
            noted.append(line)
            continue
        lead = timedelta(days=line.lead_days)
        words = [line.note] if line.note else []
        if departure is not None:
            words.append(f"Order by {departure - lead} to have it before departure on {departure}.")
        if today is not None:
            arrival = today + lead
            words += [
                f"Ordered on {today} it comes on {arrival}, after “{milestone.name}” on {milestone.due}."
                for milestone in milestones
                if today <= milestone.due < arrival
            ]
            if departure is not None and arrival > departure:
                supplier = f" from {line.supplier}" if line.supplier else ""
                sentence = (
                    f"{line.description}{supplier} takes {line.lead_days} days: ordered on {today} it "
                    f"comes on {arrival}, after departure on {departure}."
                )
                problems.append(OrderProblem(None, line.item, sentence))
        noted.append(replace(line, note=" ".join(words)))
    return tuple(noted), tuple(problems)
