"""A blank price book: every item that can be ordered, in the sizes its kind is commonly sold in."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

from sizing.order.consumables import common_sizes
from sizing.order.items import Item
from sizing.spreadsheet import BYTE_ORDER_MARK, csv_bytes

HEADER = (
    "item", "description", "kind", "unit", "pack_size", "pack_price", "currency", "supplier", "lead_days",
    "minimum_packs", "length_step", "least_length",
)  # fmt: skip


def price_template(known: Mapping[str, Item]) -> bytes:
    """Return, as CSV, a row for each item and common pack size; price, supplier and days are for the club.

    A row with a length_step is for what is cut to length where it is sold, the price for pack_size of it. The
    book can be read as it is, every item without a price. Rows may be changed, repeated for another supplier
    or pack, and left blank or out.
    """
    rows = [
        (item.id, item.description, item.kind, item.unit, size, "", "", "", "", "", step or "", "")
        for item in known.values()
        for size, step in common_sizes().get(item.kind, ((Decimal(1), None),))
    ]
    return BYTE_ORDER_MARK + csv_bytes([HEADER, *rows])
