"""What a boat pays for her parts, or would pay, as the order that was made last says."""

from __future__ import annotations

import json
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from sqlalchemy import Connection, select

from api.storage.packing import unpacked
from api.storage.schema import fleets, revisions
from sizing.spreadsheet import plain_text


@dataclass(frozen=True)
class Price:
    """A sum, "" where it is not known; `whole` where all of it has a price."""

    amount: str = ""
    whole: bool = False
    currency: str = ""


def price_of(connection: Connection, fleet_id: str, entry_no: str) -> Price:
    """Return what the boat of this entry number owes in all, or would pay through the rally."""
    row = connection.execute(
        select(revisions.c.ordered)
        .join(fleets, (fleets.c.id == revisions.c.fleet_id) & (fleets.c.revision == revisions.c.number))
        .where(fleets.c.id == fleet_id)
    ).first()
    if row is None or row.ordered is None:
        return Price()
    prices, currency = _prices(bytes(row.ordered))
    told: dict[str, Any] = prices.get(plain_text(entry_no), {})
    return Price(told.get("amount") or "", bool(told.get("whole")), currency)


@lru_cache(maxsize=8)
def _prices(ordered: bytes) -> tuple[dict[str, dict[str, Any]], str]:
    order = json.loads(unpacked(ordered))
    return order.get("prices", {}), order.get("currency") or ""
