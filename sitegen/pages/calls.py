"""The calls of the day, and what holds up the order, as the overview shows them; without contact details."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Final

from sitegen.boat_facts import Gatherer
from sitegen.dates import long_date
from sitegen.pages.parts import plural
from sitegen.plain_text import visible
from sizing.chase import MOST_TODAY, Call, Due, holding_up
from sizing.model import MusterResult
from sizing.policy import Policy
from sizing.redaction import redact

MOST_NAMED: Final = 60
"""Boats that hold up the order and are named; of more than these the number is said."""


@dataclass(frozen=True)
class CallView:
    """One call: about which boat, whom, what to ask, why she comes here, by when, and how much more."""

    href: str
    boat_name: str
    entry_no: str
    berth: str
    who: str
    ask: str
    why: str
    by: str
    more: str


@dataclass(frozen=True)
class CallGroup:
    """Calls with one reason, and the number of the first of them."""

    why: str
    start: int
    calls: tuple[CallView, ...]


@dataclass(frozen=True)
class BlockView:
    """What holds up the order: its last day, what is wanted in words, and the boats whose answer it is."""

    last_day: str
    day: str
    milestone: str
    words: str
    boats: tuple[CallView, ...]
    unnamed: str
    problems: str
    late: str


def call_views(
    calls: Sequence[Call], gatherer: Gatherer, refused: dict[int, str], private: Sequence[str]
) -> tuple[CallView, ...]:
    """Return calls as shown, those about boats that stand in no public list left out.

    `refused` leads from the number of a rejected row to its place on the site, `private` are contact details.
    """
    shown = []
    for call in calls:
        action = call.action
        if call.row is None:
            href = refused.get(action.row_no, "")
        else:
            href = gatherer.address(call.row) if gatherer.is_public(call.row) else ""
        if not href:
            continue
        name, entry_no, berth = (
            visible(redact(text, private)) for text in (action.boat_name, action.entry_no, action.berth)
        )
        shown.append(
            CallView(
                href=href,
                boat_name=name or f"Row {action.row_no}",
                entry_no=entry_no,
                berth=berth,
                who=call.who,
                ask=visible(call.ask),
                why=call.why,
                by=long_date(action.due.day) if action.due.day else "",
                more=f"{plural(call.more, 'more thing')} to ask" if call.more else "",
            )
        )
    return tuple(shown)


def grouped(calls: Sequence[CallView]) -> tuple[CallGroup, ...]:
    """Return calls by why they come where they do, which is said once for each group."""
    groups = []
    start = 1
    for why, alike in groupby(calls, lambda call: call.why):
        group = CallGroup(why, start, tuple(alike))
        groups.append(group)
        start += len(group.calls)
    return tuple(groups)


def more_calls(calls: Sequence[Call]) -> str:
    """Return how many calls can wait until those of today are made."""
    rest = len(calls) - MOST_TODAY
    return f"{plural(rest, 'more boat')} can wait until these are called." if rest > 0 else ""


def block_view(
    calls: Sequence[Call], views: Sequence[CallView], due: Due, result: MusterResult, policy: Policy
) -> BlockView:
    """Return what holds up the order: `views` are the calls that do, as shown; `due` is its last day."""
    wanted = len(holding_up(calls))
    words = "No answer is wanted before the order."
    if wanted:
        has = "has" if wanted == 1 else "have"
        words = f"{plural(wanted, 'boat')} {has} still to answer what changes the order."
    unnamed = wanted - min(len(views), MOST_NAMED)
    problems = len(result.order.problems)
    return BlockView(
        last_day=long_date(due.day) if due.day else "",
        day=due.day.isoformat() if due.day else "",
        milestone=visible(due.milestone),
        words=words,
        boats=tuple(views[:MOST_NAMED]),
        unnamed=f"{unnamed:,} not named here" if views and unnamed else "",
        problems=f"{plural(problems, 'part')} could not be ordered" if problems else "",
        late=_late(result, policy),
    )


def _late(result: MusterResult, policy: Policy) -> str:
    """What cannot arrive before departure if it is ordered on the day the site is made for."""
    if policy.rally.departure is None:
        return ""
    days = (policy.rally.departure - result.today).days
    late = [line.lead_days for line in result.order.lines if line.lead_days is not None]
    late = [lead for lead in late if lead >= days]
    if not late:
        return ""
    longest = plural(max(late), "day")
    return f"{plural(len(late), 'order line')} cannot arrive in time; the longest lead time is {longest}"
