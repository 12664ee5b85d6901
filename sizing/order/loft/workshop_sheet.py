"""The fleet's workshop on paper and as a table: stations, hours, volunteers, days; and the list of bags."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import Final

from sizing.order.loft.bag import Bag
from sizing.order.loft.page import Col, Flow
from sizing.order.sheets import Column, Sheet
from sizing.order.workshop import Workshop
from sizing.policy import OrderRules, Policy

ALL_STATIONS: Final = "all stations"
_WORKSHOP: Final = (
    Column("station", "Station", "text", 24),
    Column("tasks", "Tasks", "count", 8),
    Column("volunteers", "Volunteers", "count", 10),
    Column("hours", "Hours", "quantity", 10),
    Column("days", "Days", "quantity", 8),
    Column("note", "Note", "text", 60),
)
_STATIONS: Final = (
    Col("Station", 170), Col("Tasks", 70, "right"), Col("Volunteers", 80, "right"),
    Col("Hours", 80, "right"), Col("Days", 80, "right"),
)  # fmt: skip
_BAGS: Final = (
    Col("Entry", 60, lines=2), Col("Boat", 170, lines=2), Col("Sew", 36, "right"), Col("Fit", 36, "right"),
    Col("Splices", 44, "right"), Col("Rope", 36, "right"), Col("Pieces", 46, "right"),
    Col("Hours", 44, "right"), Col("Sheet", 44, "right"),
)  # fmt: skip
_COUNTED: Final = ("cones_to_sew", "cones_to_fit", "splices", "rope_pieces")


def workshop_csv(workshop: Workshop) -> bytes:
    """Return workshop.csv: a row for each station, then one for all of them."""
    rows = [
        (s.name, s.tasks, s.volunteers, _tenth(s.hours), _hundredth(s.days), "") for s in workshop.stations
    ]
    rows.append((
        ALL_STATIONS, sum(s.tasks for s in workshop.stations), workshop.volunteers, _tenth(workshop.hours),
        _hundredth(workshop.days_needed), verdict(workshop),
    ))  # fmt: skip
    return Sheet("Workshop", _WORKSHOP, tuple(rows)).csv()


def verdict(workshop: Workshop) -> str:
    """Return whether the days are enough, and how many volunteers are needed at least, in a sentence."""
    if not workshop.stations:
        return "There is nothing to build."
    days = f"{workshop.volunteers} volunteers and {workshop.days:g} days are planned"
    words = "which is enough" if workshop.enough else "which is NOT enough"
    if workshop.volunteers_needed is None:
        return f"{days}, {words}: one task alone takes longer than that."
    least = f"at least {workshop.volunteers_needed} volunteers are needed in {workshop.days:g} days"
    return f"{days}, {words}; {least}."


def put_workshop(
    flow: Flow, workshop: Workshop, bags: Sequence[Bag], sheets: Sequence[str], policy: Policy
) -> None:
    """Lay out the workshop's plan and where each bag's papers are; `sheets` go with `bags`."""
    flow.text("The workshop", size=18.0, bold=True)
    flow.space(4.0)
    flow.text(f"{policy.rally.name}: {len(bags)} {'bag' if len(bags) == 1 else 'bags'} to make up.")
    flow.text(verdict(workshop), bold=True)
    flow.space(4.0)
    rows = [
        (s.name, f"{s.tasks:,}", f"{s.volunteers:,}", f"{s.hours:,.1f}", f"{s.days:.2f}")
        for s in workshop.stations
    ]
    total = (
        ALL_STATIONS,
        "",
        f"{workshop.volunteers:,}",
        f"{workshop.hours:,.1f}",
        f"{workshop.days_needed:.2f}",
    )
    flow.table(_STATIONS, [*rows, total], last_bold=True)
    flow.text(_how(workshop, policy.order), size=8.0, grey=0.25)
    if not bags:
        return
    flow.heading("Bags")
    flow.text(
        "Hours of a bag are for one person who makes it alone, learning as it goes; in the workshop "
        "each station learns once, so the sums differ.",
        size=8.0,
        grey=0.25,
    )
    listed = [
        (
            bag.kit.entry_no, bag.kit.boat_name or "(no name)",
            *(f"{getattr(bag.kit.work, name):,}" for name in _COUNTED), f"{bag.pieces:,}",
            f"{bag.kit.hours:.1f}", sheet,
        )
        for bag, sheet in zip(bags, sheets, strict=True)
    ]  # fmt: skip
    work = [sum(getattr(bag.kit.work, name) for bag in bags) for name in _COUNTED]
    pieces, hours = sum(bag.pieces for bag in bags), sum(bag.kit.hours for bag in bags)
    in_all = ("All", "", *(f"{count:,}" for count in (*work, pieces)), f"{hours:,.1f}", "")
    flow.table(_BAGS, [*listed, in_all], last_bold=True)


def _how(workshop: Workshop, rules: OrderRules) -> str:
    together = "; with fewer volunteers than stations, all work through them one after another"
    return (
        "Hours are the work of all a station's volunteers together; a day is "
        f"{rules.work_hours_per_day:g} hours of work. Stations run side by side, and the slowest sets the "
        f"days{together if workshop.volunteers < len(workshop.stations) else ''}. Each volunteer learns: the "
        f"time for a cone falls to {100 * rules.learning_rate:g} % each time the count doubles, up to "
        f"{rules.practised_cones} cones. Volunteers, days and all times but 12 min a cone [practice] are "
        "assumed; the rally's rules can change them."
    )


def _tenth(value: float) -> Decimal:
    return Decimal(f"{value:.1f}")


def _hundredth(value: float) -> Decimal:
    return Decimal(f"{value:.2f}")
