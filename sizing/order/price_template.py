"""A blank price book: every item that can be ordered, in the sizes its kind is commonly sold in."""

from __future__ import annotations

from collections.abc import Mapping

from sizing.order.buying import offers_for
from sizing.order.items import Item
from sizing.spreadsheet import BYTE_ORDER_MARK, csv_bytes

HEADER = (
    "item", "description", "kind", "unit", "pack_size", "pack_price", "currency", "supplier", "lead_days",
    "minimum_packs",
)  # fmt: skip


def price_template(known: Mapping[str, Item]) -> bytes:
    """Return, as CSV, a row for each item and common pack size; price, supplier and days are for the club.

    It can be read as it is, every item without a price. Rows may be changed, repeated for another supplier
    or pack, and left blank or out.
    """
    rows = [
        (item.id, item.description, item.kind, item.unit, offer.pack_size, "", "", "", "", "")
        for item in known.values()
        for offer in offers_for(item, None)[0]
    ]
    return BYTE_ORDER_MARK + csv_bytes([HEADER, *rows])
