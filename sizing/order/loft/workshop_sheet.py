"""The fleet's workshop on paper and as tables: the board by the hour, each step's hours, the list of bags."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Final

from sizing.model import STEPS, Stand, Step, WorkshopPlan
from sizing.order.loft.bag import Bag
from sizing.order.loft.page import Col, Flow
from sizing.order.sheets import Column, Sheet
from sizing.order.workshop.told import STEP_WORDS, verdict
from sizing.policy import Policy

ALL_STEPS: Final = "all steps"
_WORKSHOP: Final = (
    Column("step", "Step", "text", 24),
    Column("tasks", "Tasks", "count", 8),
    Column("hours", "Hours", "quantity", 10),
    Column("hours_planned", "Hours in the plan", "quantity", 10),
    Column("most_people", "Most people at once", "count", 10),
    Column("note", "Note", "text", 60),
)
_BOARD: Final = (
    Column("day", "Day", "count", 6),
    Column("hour", "Hour of the day", "count", 8),
    Column("step", "Step", "text", 24),
    Column("people", "People", "count", 8),
    Column("hours", "Hours of work", "quantity", 10),
    Column("kits", "Kits in hand", "text", 50),
    Column("ready", "Kits ready", "text", 50),
)
_STEPS: Final = (
    Col("Step", 170), Col("Tasks", 70, "right"), Col("Hours", 80, "right"),
    Col("In the plan", 80, "right"), Col("Most at once", 80, "right"),
)  # fmt: skip
_BAGS: Final = (
    Col("Entry", 60, lines=2), Col("Boat", 150, lines=2), Col("Sew", 36, "right"), Col("Fit", 36, "right"),
    Col("Splices", 44, "right"), Col("Rope", 36, "right"), Col("Pieces", 46, "right"),
    Col("Hours", 44, "right"), Col("Ready", 76), Col("Sheet", 44, "right"),
)  # fmt: skip
_COUNTED: Final = ("cones_to_sew", "cones_to_fit", "splices", "rope_pieces")
_SHORT: Final[Mapping[Step, str]] = {
    "rope": "Rope", "cut": "Cut", "baste": "Baste", "sew": "Sew", "turn": "Turn", "splice": "Eyes",
    "thread": "Close", "fit": "Fit", "check": "Pack",
}  # fmt: skip
NOT_READY: Final = "not ready"


def workshop_csv(plan: WorkshopPlan) -> bytes:
    """Return workshop.csv: a row for each step, then one for all of them."""
    rows = [
        (STEP_WORDS[s.step], s.tasks, _tenth(s.hours), _tenth(s.done), s.most_at_once, "") for s in plan.steps
    ]
    done = sum(s.done for s in plan.steps)
    tasks = sum(s.tasks for s in plan.steps)
    rows.append((ALL_STEPS, tasks, _tenth(plan.hours), _tenth(done), plan.people, verdict(plan)))
    return Sheet("Workshop", _WORKSHOP, tuple(rows)).csv()


def board_csv(plan: WorkshopPlan, entries: Mapping[int, str]) -> bytes:
    """Return workshop-board.csv: who stands where in each hour, with which kits; `entries` by row."""
    rows = []
    for stand in plan.board:
        ready = [row for row, slot in plan.ready.items() if slot == stand.slot]
        rows.append((
            plan.day_of(stand.slot), plan.hour_of(stand.slot), STEP_WORDS[stand.step], stand.people,
            _tenth(stand.hours), _named(stand.rows, entries),
            _named(ready, entries) if stand.step == "check" else "",
        ))  # fmt: skip
    return Sheet("Board", _BOARD, tuple(rows)).csv()


def put_workshop(
    flow: Flow, plan: WorkshopPlan, bags: Sequence[Bag], sheets: Sequence[str], policy: Policy
) -> None:
    """Lay out the workshop's plan and where each bag's papers are; `sheets` go with `bags`."""
    flow.text("The workshop", size=18.0, bold=True)
    flow.space(4.0)
    flow.text(f"{policy.rally.name}: {len(bags)} {'bag' if len(bags) == 1 else 'bags'} to make up.")
    flow.text(verdict(plan), bold=True)
    flow.space(4.0)
    rows = [
        (STEP_WORDS[s.step], f"{s.tasks:,}", f"{s.hours:,.1f}", f"{s.done:,.1f}", f"{s.most_at_once:,}")
        for s in plan.steps
    ]
    done = sum(s.done for s in plan.steps)
    total = (ALL_STEPS, "", f"{plan.hours:,.1f}", f"{done:,.1f}", f"{plan.people:,}")
    flow.table(_STEPS, [*rows, total], last_bold=True)
    flow.text(_how(policy), size=8.0, grey=0.25)
    if not bags:
        return
    _put_board(flow, plan, {bag.kit.row: bag.kit.entry_no for bag in bags})
    flow.heading("Bags")
    flow.text(
        "Hours of a bag are for one person who makes it alone, learning as it goes; in the workshop "
        "each learns once, so the sums differ.",
        size=8.0,
        grey=0.25,
    )
    listed = [
        (
            bag.kit.entry_no, bag.kit.boat_name or "(no name)",
            *(f"{getattr(bag.kit.work, name):,}" for name in _COUNTED), f"{bag.pieces:,}",
            f"{bag.kit.hours:.1f}", _ready(plan, bag.kit.row), sheet,
        )
        for bag, sheet in zip(bags, sheets, strict=True)
    ]  # fmt: skip
    work = [sum(getattr(bag.kit.work, name) for bag in bags) for name in _COUNTED]
    pieces, hours = sum(bag.pieces for bag in bags), sum(bag.kit.hours for bag in bags)
    in_all = ("All", "", *(f"{count:,}" for count in (*work, pieces)), f"{hours:,.1f}", "", "")
    flow.table(_BAGS, [*listed, in_all], last_bold=True)


def _put_board(flow: Flow, plan: WorkshopPlan, entries: Mapping[int, str]) -> None:
    """People at each step, a row an hour; and the kits that are sewn, fitted and ready."""
    steps = [step for step in STEPS if any(stand.step == step for stand in plan.board)]
    if not steps:
        return
    flow.heading("Who stands where, hour by hour", keep=120.0)
    flow.text(
        "People at each step. Whoever is not named helps where most is lying. Kits by entry number: those "
        "at the machines, those being fitted, and those that are ready when the hour is over.",
        size=8.0,
        grey=0.25,
    )
    columns = (
        Col("Day", 30, "right"), Col("Hour", 34, "right"),
        *(Col(_SHORT[step], 36, "right") for step in steps),
        Col("Sewing", 76), Col("Fitting", 76), Col("Ready", 76, bold=True),
    )  # fmt: skip
    rows = []
    for slot in sorted({stand.slot for stand in plan.board}):
        here: dict[Step, Stand] = {stand.step: stand for stand in plan.board if stand.slot == slot}
        ready = [row for row, at in plan.ready.items() if at == slot]
        rows.append((
            f"{plan.day_of(slot)}", f"{plan.hour_of(slot)}",
            *(f"{here[step].people}" if step in here else "" for step in steps),
            _named(here["sew"].rows, entries) if "sew" in here else "",
            _named(here["fit"].rows, entries) if "fit" in here else "", _named(ready, entries),
        ))  # fmt: skip
    flow.table(columns, rows)


def _ready(plan: WorkshopPlan, row: int) -> str:
    slot = plan.ready.get(row)
    return NOT_READY if slot is None else f"day {plan.day_of(slot)}, hour {plan.hour_of(slot)}"


def _named(rows: Sequence[int], entries: Mapping[int, str]) -> str:
    return ", ".join(entries[row] for row in rows)


def _how(policy: Policy) -> str:
    rules, shop = policy.order, policy.workshop
    return (
        f"A day is {shop.hours_per_day:g} hours of work. A kit goes through cutting, basting, sewing, "
        "turning, threading and fitting to the check: a cone is passed on in the hour after, a kit is "
        "threaded, fitted and packed once all of it has come. Kits with least work go first, so that most "
        "boats are ready soonest. Each who makes cones learns: the time for one falls to "
        f"{100 * rules.learning_rate:g} % each time the count doubles, up to {rules.practised_cones} cones. "
        "People, machines, days and all times but 12 min to fit a cone [practice] are assumed; the rally's "
        "rules can change them."
    )


def _tenth(value: float) -> Decimal:
    return Decimal(f"{value:.1f}")
