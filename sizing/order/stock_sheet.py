"""The list of tags: every length, roll and box of the season, where it is, and what is still to come."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from types import MappingProxyType
from typing import Final

from sizing.entry_key import entry_key
from sizing.model import Order
from sizing.model.tags import State, Tagged
from sizing.order.buying import IN_HAND, NOT_ORDERED
from sizing.order.sheets import Names, Row, Sheet, columns_of, decimal_m, feet

STOCK: Final = columns_of(
    ("tag", "Tag", "text", 9),
    ("item", "Item", "text", 12),
    ("description", "Description", "text", 0),
    ("state", "Where it is", "text", 18),
    ("amount", "Amount", "quantity", 8),
    ("unit", "Unit", "text", 5),
    ("amount_ft", "Amount (ft)", "length", 0),
    ("left", "Left", "quantity", 8),
    ("entry_no", "Entry", "text", 7),
    ("boat_name", "Boat", "text", 18),
    ("purpose", "Purpose", "text", 20),
    ("cut_from", "Cut from", "text", 8),
    ("came_with", "Came with", "text", 0),
    ("ends_m", "Lost at ends (m)", "length", 7),
    ("to_cut", "To be cut from it now", "text", 32),
)
WORDS: Final[Mapping[State, str]] = MappingProxyType({
    "whole": "in hand, whole",
    "offcut": "in hand, loose",
    "piece": "in hand, cut for a boat",
    "issued": "handed out to the boat",
    "aboard": "aboard",
    "cut up": "cut up",
    "not found": "not found at a count",
})  # fmt: skip
CAME: Final = columns_of(
    ("entry_no", "Entry", "text", 9), ("boat_name", "Boat", "text", 24), ("purpose", "Piece", "text", 22),
    ("ordered", "Ordered", "text", 12), ("came", "Came", "text", 14), ("shown", "Cut of it", "text", 9),
    ("said", "What it means for her", "text", 60),
)  # fmt: skip
USED_UP: Final = "used up"
ORDERED: Final = "ordered"


def stock_sheet(order: Order, names: Names, entries: Mapping[str, int]) -> Sheet:
    """Return the list; `entries` are rows by the key of the entry number. What is ordered has no tag yet."""
    to_cut = {spool.tag: spool for spool in order.spools if spool.tag}
    rows: list[Row] = []
    for one in order.tags:
        root = "-" not in one.tag
        spool = to_cut.get(one.tag) if one.state in ("whole", "offcut") else None
        cuts = (
            [f"{decimal_m(p.length_m):f} m {names.of(p.row)[0]}".rstrip() for p in spool.pieces]
            if spool
            else []
        )
        row = entries.get(entry_key(one.entry_no)) if one.entry_no else None
        boat = names.of(row) if row is not None else (one.entry_no, "")
        in_m = one.unit == "m"
        rows.append((
            one.tag, one.item, one.description, _state(one), one.amount, one.unit,
            feet(one.amount) if in_m else None, _left(one), *boat, one.purpose,
            "" if root else one.origin, one.origin if root else "", one.ends_m or None, "; ".join(cuts),
        ))  # fmt: skip
    for line in order.lines:
        if line.supplier != IN_HAND and line.note != NOT_ORDERED and line.packs and line.pack_size:
            amount = line.packs * line.pack_size
            rows.append((
                "", line.item, line.description, ORDERED, amount, line.unit,
                feet(amount) if line.unit == "m" else None, None, "", "", "", "", line.supplier, None, "",
            ))  # fmt: skip
    return Sheet("Stock", STOCK, tuple(rows))


def came_sheet(order: Order, names: Names) -> Sheet:
    """Return whose pieces are cut of what came instead of what was ordered, and whose are not, and why."""
    return Sheet("Came instead", CAME, tuple(
        (*names.of(one.row), one.purpose, one.ordered, one.came, "yes" if one.shown else "no", one.sentence)
        for one in order.came_for
    ))  # fmt: skip


def _state(one: Tagged) -> str:
    return USED_UP if not one.single and not one.left else WORDS[one.state]


def _left(one: Tagged) -> Decimal | None:
    if not one.single:
        return one.left
    return one.amount if one.state in ("whole", "offcut", "piece") else None
