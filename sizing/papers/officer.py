"""The officer's list: one line a boat, with what is to do, who is next and by when."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Final

from sizing.audit import STAGE_OF, answers_wanted, overall, stages_of
from sizing.chase import boat_actions, chase_actions
from sizing.chase.actions import Action
from sizing.model import MusterResult
from sizing.order.cloth.tiles import Paper
from sizing.order.loft.ink import Page
from sizing.order.loft.page import Col, Flow, Sign, Sizes
from sizing.papers.look import CAUTION
from sizing.papers.names import Public, plan_word
from sizing.policy import Policy
from sizing.revision.natural import natural_key
from sizing.words import long_date, open_words, word

_SIZES: Final = Sizes(body=9.5, cell=8.5, small=7.5, heading=13.0)
_LIST: Final = (
    Col("", 14), Col("Entry", 36, lines=2), Col("Boat", 78, bold=True, lines=3), Col("Berth", 36, lines=2),
    Col("Stage, and checks open", 96, lines=4), Col("Plan", 60, lines=2), Col("Next", 160, lines=10),
    Col("By", 62, bold=True, lines=3),
)  # fmt: skip
_CALLS: Final = (
    Col("Entry", 44, lines=2), Col("Boat", 110, bold=True, lines=2), Col("Berth", 50, lines=2),
    Col("Skipper", 110, lines=3), Col("Telephone", 90, bold=True, lines=3), Col("Mail", 130, lines=3),
)  # fmt: skip
ALONE: Final = "For the rally's officer alone: names, telephone numbers and mail addresses stand here."


def officers_lines(result: MusterResult, policy: Policy) -> list[tuple[str | Sign, ...]]:
    """Return the line of each boat in the order of their numbers; no contact details stand in it."""
    public, plans = Public(result), {plan.row: plan for plan in result.plans}
    stages, actions = stages_of(result), boat_actions(chase_actions(result, policy))
    counts = overall(result.checks, result.intake.fleet)
    unknown = answers_wanted(result.checks)
    rows: list[tuple[str | Sign, ...]] = []
    for row in _in_order(result):
        hers = actions.get(row, ())
        required, advised = int(counts.open_shalls[row]), int(counts.open_shoulds[row])
        rows.append(
            (
                Sign.TICK,
                public.text("entry_no", row),
                public.text("boat_name", row),
                public.text("berth", row),
                f"{STAGE_OF[stages[row]].words}: {open_words(required, advised, 'officer')}",
                plan_word(plans.get(row), "officer", unknown=row in unknown),
                _next(hers),
                _by(hers, result.today),
            )
        )
    return rows


def officers_list(
    lines: Sequence[tuple[str | Sign, ...]], today: date, policy: Policy, paper: Paper
) -> list[Page]:
    """Return the list of all boats, whose lines these are."""
    flow = Flow(paper, "Officer's list", _foot(policy), _SIZES)
    flow.text(f"{len(lines)} {'boat' if len(lines) == 1 else 'boats'}", size=13.0, bold=True)
    flow.table(_LIST, lines)
    flow.text(CAUTION.format(long_date(today)), size=_SIZES.small)
    return flow.finished()


def call_list(result: MusterResult, policy: Policy, paper: Paper) -> list[Page]:
    """Return skippers with telephone and mail, for the officer alone."""
    flow = Flow(paper, "Telephone list. For the officer alone", _foot(policy), _SIZES)
    flow.text(ALONE, bold=True)
    text = result.intake.fleet.text
    names = ("entry_no", "boat_name", "berth", "skipper", "phone", "email")
    flow.table(_CALLS, [tuple(str(text[name][row] or "") for name in names) for row in _in_order(result)])
    return flow.finished()


def _in_order(result: MusterResult) -> list[int]:
    entries = [str(entry or "") for entry in result.intake.fleet.text["entry_no"]]
    return sorted(range(len(entries)), key=lambda row: natural_key(entries[row]))


def _next(hers: Sequence[Action]) -> str:
    """Who has to do what first: required before advised, then by the day."""
    first = _first(hers)
    return f"{first.owner}: {first.sentence}" if first else word("state", "nothing open", "officer")


def _by(hers: Sequence[Action], today: date) -> str:
    first = _first(hers)
    if first is None or first.due.day is None:
        return ""
    return f"{long_date(first.due.day)}{' (over)' if first.due.is_over(today) else ''}"


def _first(hers: Sequence[Action]) -> Action | None:
    return min(hers, key=lambda action: (action.level != "shall", action.due.day or date.max), default=None)


def _foot(policy: Policy) -> str:
    return f"{policy.rally.name}. Advice for planning and checking gear, not a certificate."
