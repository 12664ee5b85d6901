"""Whom the order buys for, and what it would be for the others: a table, and the sentence that says so."""

from __future__ import annotations

from decimal import Decimal
from typing import Final

from sizing.model import Order
from sizing.order.money import FLEET_ACCOUNT
from sizing.order.sheets import Names, Row, Sheet, columns_of
from sizing.words import word

CONSENT_COLUMNS: Final = columns_of(
    ("entry_no", "Entry", "text", 9),
    ("boat_name", "Boat", "text", 22),
    ("gear_supply", "How she gets her parts", "text", 22),
    ("said_on", "Said on", "text", 11),
    ("ordered", "Ordered", "text", 9),
    ("parts", "Parts", "count", 8),
    ("share", "Share of the order", "money", 12),
    ("would_cost", "Would cost", "money", 12),
    ("currency", "Currency", "text", 9),
    ("note", "Note", "text", 44),
)
WITHOUT_ASKING: Final = "ordered without asking, by the rally's policy"
ASK_ANOTHER_WAY: Final = "her entry speaks of another way to get it: ask her"
ASK: Final = "nothing is bought for her before she says so: ask her"


def supply_words(order: Order, row: int) -> str:
    """Return how boat `row` gets her parts, as officers read it."""
    return word("supply", order.supply(row).word or "not said", "officer")


def to_ask(order: Order) -> tuple[int, ...]:
    """Return the boats that need parts, are not in the order, and have not said how they get them."""
    return tuple(row for row in order.would_be.rows if not order.supply(row).word)


def note_on(order: Order, row: int) -> str:
    """Return what is to be said of a boat whose people have said nothing, "" for the others."""
    supply = order.supply(row)
    if supply.word:
        return ""
    if order.buys_for(row):
        return WITHOUT_ASKING
    return ASK_ANOTHER_WAY if supply.another_way else ASK


def bought_for(order: Order) -> tuple[int, ...]:
    """Return the boats that the order buys for."""
    return tuple(sorted({piece.row for piece in order.pieces} - {FLEET_ACCOUNT}))


def consent_words(order: Order) -> str:
    """Return whom the order buys for, and what is left out of it, in a sentence or two."""
    inside, left = bought_for(order), order.would_be
    unasked = sum(not order.supply(row).word for row in inside)
    if order.ask_first:
        said = f"Only boats that agreed to it are in the order: {len(inside)}."
    else:
        said = (
            f"This rally orders without asking: {_boats(len(inside))} in the order, of which {unasked} never "
            "said that they want it."
        )
    if left.rows:
        ask = len(to_ask(order))
        cost = "" if left.total is None else f"; it would be {left.total:,.2f} {order.currency}"
        asked = f"; of {ask} nobody has said how they get them" if ask else ""
        needs = "needs parts and is" if len(left.rows) == 1 else "need parts and are"
        said += f" {_boats(len(left.rows))} {needs} not in it{cost}{asked}."
    return said


def _boats(count: int) -> str:
    return f"{count} boat" if count == 1 else f"{count} boats"


def consent_sheet(order: Order, names: Names) -> Sheet:
    """Return every boat that needs parts: how she gets them, and her share or what it would be."""
    parts: dict[int, int] = {}
    for piece in (*order.pieces, *order.would_be.pieces):
        parts[piece.row] = parts.get(piece.row, 0) + piece.quantity
    rows: list[Row] = []
    for row in sorted({*parts, *order.would_be.rows} - {FLEET_ACCOUNT}):
        inside, day = order.buys_for(row), order.supply(row).day
        share: Decimal | None = order.boat_totals.get(row) if inside else None
        would: Decimal | None = None if inside else order.would_be.boat_totals.get(row)
        rows.append((
            *names.of(row), supply_words(order, row), day.isoformat() if day else "",
            "yes" if inside else "no", parts.get(row, 0), share, would,
            "" if share is None and would is None else order.currency,
            note_on(order, row),
        ))  # fmt: skip
    return Sheet("Consent", CONSENT_COLUMNS, tuple(rows))
