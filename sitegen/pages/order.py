"""The fleet's one order: what to buy, how well it is cut, whose each part is."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from decimal import Decimal
from typing import ClassVar

from sitegen.boat_facts import Gatherer
from sitegen.dates import long_date
from sitegen.pages.cuts import cut_addresses
from sitegen.pages.frame import Frame, SearchEntry
from sitegen.pages.parts import money, plural, shown
from sitegen.pages.plan import NOT_KNOWN, choice_words
from sitegen.plain_text import visible
from sitegen.shared_files import SharedFile
from sizing.chase import Due
from sizing.model import MendPlan, Order, OrderLine, OrderProblem
from sizing.order.consent_sheet import consent_words, supply_words
from sizing.order.together_words import thicker_said
from sizing.units import Shown


@dataclass(frozen=True)
class LineView:
    """One order line as shown."""

    anchor: str
    item: str
    description: str
    needed: Shown | None
    spare: Shown | None
    packs: str
    supplier: str
    lead: str
    amount: str
    note: str


@dataclass(frozen=True)
class ProblemView:
    """A part that could not be ordered."""

    href: str
    boat: str
    sentence: str


@dataclass(frozen=True)
class CuttingRow:
    """How well one item was cut, and where its cut list is."""

    href: str
    item: str
    pieces: int
    spools: int
    waste: str
    proof: str


@dataclass(frozen=True)
class ShareRow:
    """One boat's share of the order."""

    href: str
    boat: str
    entry_no: str
    plan: str
    cones: str
    parts: str
    materials: str
    amount: str
    runner_up: str


@dataclass(frozen=True)
class WouldBeRow:
    """A boat that needs parts and is not in the order: how she gets them, and what her share would be."""

    href: str
    boat: str
    entry_no: str
    supply: str
    plan: str
    amount: str


@dataclass(frozen=True)
class OrderPage:
    """What the order template may use."""

    template: ClassVar[str] = "order.html.j2"
    frame = Frame("order.html", "Order", "One material order for the fleet", "order", "order.html")

    lead_words: str
    consent_words: str
    ropes_words: str
    date_words: str
    problems: tuple[ProblemView, ...]
    left_over: tuple[str, ...]
    lines: tuple[LineView, ...]
    total: str
    cutting: tuple[CuttingRow, ...]
    shares: tuple[ShareRow, ...]
    would_be: tuple[WouldBeRow, ...]
    would_be_total: str
    unnamed: str
    files: tuple[SharedFile, ...]

    def search_entries(self) -> tuple[SearchEntry, ...]:
        """The page, and every line by what is bought."""
        lines = tuple(
            SearchEntry(
                f"order.html#{line.anchor}", line.description, f"order line, {line.item}, {line.packs}"
            )
            for line in self.lines
        )
        return (
            SearchEntry("order.html", "Order", "what to buy, how the rope is cut, whose each part is"),
            *lines,
        )


def order_page(gatherer: Gatherer, files: tuple[SharedFile, ...] = ()) -> OrderPage:
    """Return the order page. `files` are offered beside it."""
    order = gatherer.result.order
    names = [visible(str(name or "")) for name in gatherer.fleet.text["boat_name"]]
    hidden = len(gatherer.hidden.rows)
    return OrderPage(
        lead_words=_lead(order),
        consent_words=visible(consent_words(order)),
        ropes_words=thicker_said(order),
        date_words=_dates(order, gatherer.days["orders"]),
        problems=tuple(_problem(problem, gatherer, names) for problem in order.problems),
        left_over=tuple(visible(one.sentence) for one in order.left_over),
        lines=tuple(_line(place, line, order.currency) for place, line in enumerate(order.lines, start=1)),
        total=money(order.total, order.currency),
        cutting=_cutting(order),
        shares=_shares(order, gatherer, names),
        would_be=_would_be(order, gatherer, names),
        would_be_total=money(order.would_be.total, order.currency) if order.would_be.rows else "",
        unnamed=f"{plural(hidden, 'boat')} with private pages not named; the sums count them."
        if hidden
        else "",
        files=files,
    )


def amount(value: Decimal, unit: str) -> Shown:
    """Return a quantity bought by its unit, in both systems where it has one.

    >>> amount(Decimal("12.300"), "m").metric
    '12.3 m'
    >>> amount(Decimal("12"), "piece")
    Shown(metric='12', us='12')
    """
    dimension = {"m": "length", "kg": "mass", "m2": "area"}.get(unit)
    if dimension is not None:
        both = shown(float(value), dimension)
        if both is not None:
            return both
    plain = f"{value.normalize():,f}" if value else "0"
    text = plain if unit in {"piece", ""} else f"{plain} {unit}"
    return Shown(text, text)


def _lead(order: Order) -> str:
    boats = {row for line in order.lines for row in line.boats}
    words = f"{plural(len(order.lines), 'line')} for {plural(len(boats), 'boat')}."
    words += (
        f" Total {money(order.total, order.currency)}."
        if order.total is not None
        else " Not every line has a price."
    )
    return words


def _dates(order: Order, closes: Due) -> str:
    """The day on which the rally orders, and what the suppliers' last days beside the lines are."""
    if closes.day is None:
        words = "The rally has set no day for this order."
    else:
        name = f" ({visible(closes.milestone)})" if closes.milestone else ""
        words = f"The rally's order closes on {long_date(closes.day)}{name}: that is the day for every boat."
    if any(line.lead_days and line.packs for line in order.lines):
        words += (
            " A supplier's last day beside a line is for the buyer alone: goods ordered later may come too"
            " late."
        )
    return words


def _line(place: int, line: OrderLine, currency: str) -> LineView:
    if line.packs is None:
        packs = "pack size not known"
    elif line.pack_size is None or line.pack_size == 1:
        packs = f"{line.packs:,}"
    else:
        packs = f"{line.packs:,} × {line.pack_size.normalize():,f} {line.unit}"
    return LineView(
        anchor=f"line-{place}",
        item=visible(line.item),
        description=visible(line.description),
        needed=amount(line.needed, line.unit),
        spare=amount(line.spare, line.unit),
        packs=packs,
        supplier=visible(line.supplier),
        lead=plural(line.lead_days, "day") if line.lead_days is not None else "not known",
        amount=money(line.amount, currency),
        note=visible(line.note),
    )


def _problem(problem: OrderProblem, gatherer: Gatherer, names: list[str]) -> ProblemView:
    if problem.row is None or not gatherer.is_public(problem.row):
        return ProblemView("", "", visible(problem.sentence))
    return ProblemView(gatherer.address(problem.row), names[problem.row], visible(problem.sentence))


def _cutting(order: Order) -> tuple[CuttingRow, ...]:
    addresses = cut_addresses(order)
    return tuple(
        CuttingRow(
            addresses.get(summary.item, ""),
            visible(summary.item),
            summary.pieces,
            summary.spools,
            f"{summary.waste_percent:.1f} %",
            "yes" if summary.optimal else f"within {summary.gap_percent:.2f} %",
        )
        for summary in order.cutting
    )


def _shares(order: Order, gatherer: Gatherer, names: list[str]) -> tuple[ShareRow, ...]:
    parts: dict[int, int] = defaultdict(int)
    for piece in order.pieces:
        parts[piece.row] += piece.quantity
    plans = {plan.row: plan for plan in gatherer.result.plans}
    return tuple(
        _share(
            gatherer,
            row,
            names[row],
            plans.get(row),
            (
                f"{parts[row]:,}" if row in parts else "none",
                money(gatherer.owed(row), order.currency),
            ),
        )
        for row in sorted(set(parts) | set(order.boat_totals) | set(plans))
        if gatherer.is_public(row) and order.buys_for(row)
    )


def _would_be(order: Order, gatherer: Gatherer, names: list[str]) -> tuple[WouldBeRow, ...]:
    """Return the boats that need parts and are not in the order, with what each would pay."""
    plans = {plan.row: plan for plan in gatherer.result.plans}
    return tuple(
        WouldBeRow(
            href=gatherer.address(row),
            boat=names[row],
            entry_no=visible(str(gatherer.fleet.text["entry_no"][row] or "")),
            supply=supply_words(order, row),
            plan=choice_words(plans[row], computed=gatherer.computed(row)),
            amount=money(order.would_be.boat_totals.get(row), order.currency),
        )
        for row in order.would_be.rows
        if gatherer.is_public(row)
    )


def _share(
    gatherer: Gatherer, row: int, name: str, plan: MendPlan | None, parts_and_amount: tuple[str, str]
) -> ShareRow:
    parts, amount_words = parts_and_amount
    return ShareRow(
        href=gatherer.address(row),
        boat=name,
        entry_no=visible(str(gatherer.fleet.text["entry_no"][row] or "")),
        plan=choice_words(plan, computed=gatherer.computed(row), unknown=row in gatherer.answers_wanted)
        if plan
        else NOT_KNOWN,
        cones=f"{plan.cones_to_make:,}" if plan and plan.cones_to_make else "",
        parts=parts,
        materials=money(plan.materials, plan.currency) if plan and plan.materials is not None else "",
        amount=amount_words if parts != "none" else "nothing",
        runner_up=visible(plan.runner_up) if plan else "",
    )
