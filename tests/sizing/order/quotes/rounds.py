"""A small round of quotations for tests, and replies filled in as a supplier would."""

from __future__ import annotations

import io
from collections.abc import Callable, Mapping
from datetime import date
from typing import Any

from openpyxl import load_workbook

from sizing.model import Order
from sizing.order.prices import PriceBook
from sizing.order.purchase import build_order
from sizing.order.quotes.asked import Round, round_of
from sizing.order.quotes.layout import COLUMNS
from sizing.policy import Policy
from tests.sizing.order.fleet_builder import Boat, Case, case
from tests.sizing.order.price_books import PLAIN, book

POLICY = Policy.model_validate({
    "rally": {"name": "=the rally", "contact": "safety@rally.example", "departure": date(2027, 6, 1)},
    "purchase": {"buyer": "The club", "delivery": "Sail loft, Quay 4", "vat_percent": 22.0},
})  # fmt: skip
FLEET = [
    Boat(entry_no=f"E{at:03}", boat_name=f"Plover {at}", cones=(40 + at, 30 + 2 * at)) for at in range(4)
]
PRICES = (
    PLAIN + "CHN-12,,chain,m,1,9.40,EUR,Far Ropes,3,,0.5,1\nNDB-16,,rope,m,150,290.00,EUR,Far Ropes,40,1,,\n"
)
PRICES = PRICES.replace("minimum_packs\n", "minimum_packs,length_step,least_length\n", 1)


def ordered(policy: Policy = POLICY, text: str = PRICES) -> tuple[Case, Order, PriceBook]:
    """An order of a small fleet, by a price book of six suppliers."""
    c, prices = case(FLEET, policy), book(text)
    order = build_order(c.fleet, c.requirements, c.plans, policy, c.catalogue, prices, time_limit_s=5.0)
    return c, order, prices


def asked_for(policy: Policy = POLICY, text: str = PRICES) -> Round:
    """What is asked for that order."""
    c, order, prices = ordered(policy, text)
    return round_of(order, prices, policy, c.catalogue)


def sheet_rows(ws: Any) -> list[dict[str, Any]]:
    """The lines of a supplier's sheet by the keys of their columns, each with its `row`."""
    values = list(ws.iter_rows(values_only=True))
    head = next(at for at, row in enumerate(values) if row[0] == "Item")
    keys = [column.key for column in COLUMNS]
    rows = []
    for at, row in enumerate(values[head + 1 :], head + 2):
        if row[0] is None:
            break
        rows.append({**dict(zip(keys, row, strict=True)), "row": at})
    return rows


def filled_in(data: bytes, change: Callable[[Any], None], prices: Mapping[str, float]) -> bytes:
    """A workbook with prices for items filled in (per unit of the pack), and then changed."""
    book_read = load_workbook(io.BytesIO(data))
    ws = book_read.worksheets[0]
    ws["H2"] = date(2027, 5, 20)
    for row in sheet_rows(ws):
        if row["item"] in prices:
            ws.cell(row["row"], 7, round(prices[row["item"]] * float(row["pack_size"]), 2))
    change(ws)
    out = io.BytesIO()
    book_read.save(out)
    return out.getvalue()
