"""How a boat gets her parts: said for one boat through the season, beside what the list says of her."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from typing import Any, Final

from sqlalchemy import Connection, RowMapping, func, insert, select

from api.season.acts import SAID_SUPPLY, record
from api.season.errors import NotValid
from api.season.listed import listed_boat
from api.season.money import amount_of, day_of, name_of
from api.storage.clock import now
from api.storage.schema import supplies
from api.storage.scrutiny import next_version
from api.trail.chain import Actor
from sizing.entry_key import entry_key
from sizing.fields import CHOICES
from sizing.model import Supply
from sizing.units import clip

WORDS: Final = CHOICES["gear_supply"]


def say_supply(
    connection: Connection,
    actor: Actor,
    fleet_id: str,
    boat: str,
    *,
    word: str,
    by: str,
    day: dt.date | None = None,
    price: str = "",
    currency: str = "",
    today: dt.date,
    called: str = "",
) -> RowMapping:
    """Record how a boat gets her parts, as `by` said on `day` (today where that is left out).

    `word` is one of the column gear_supply; `price` what she agreed to pay, in `currency`, that of the price
    book in force. What was said before stays to be read; the last counts. Raises NotFound for a boat that is
    not in the list in force, NotValid for all that does not fit; nothing is recorded then.
    """
    listed = listed_boat(connection, fleet_id, boat, called)
    where = f"gear supply of entry {listed.entry_no}"
    if word not in WORDS:
        raise NotValid(
            where, f"“{clip(word)}” is not a word known here", f"one of: {', '.join(WORDS)}",
            "write one of these words; nothing was recorded",
        )  # fmt: skip
    said_on = day_of(where, day or today, today)
    agreed = amount_of(where, price, currency) if price else None
    last = select(func.max(supplies.c.number)).where(supplies.c.fleet_id == fleet_id)
    number = int(connection.execute(last).scalar() or 0) + 1
    before = _last_of(connection, fleet_id, boat)
    connection.execute(
        insert(supplies).values(
            fleet_id=fleet_id, number=number, boat_id=boat, entry_no=listed.entry_no, word=word,
            day=said_on.isoformat(), said_by=name_of(where, by), source=actor.role,
            price="" if agreed is None else f"{agreed:f}", currency="" if agreed is None else currency,
            made_at=now(), made_by=actor.name,
        )
    )  # fmt: skip
    next_version(connection, fleet_id)
    row = _last_of(connection, fleet_id, boat)
    assert row is not None
    told = None if before is None else {"supply": before["word"], "number": before["number"]}
    record(connection, actor, SAID_SUPPLY, fleet_id, boat, before=told, after=supply_document(row))
    return row


def supplies_said(connection: Connection, fleet_id: str, at: str | None = None) -> dict[str, Supply]:
    """Return what was said last of every boat, by the key of her entry number; `at` a moment, or now."""
    query = select(supplies).where(supplies.c.fleet_id == fleet_id).order_by(supplies.c.number)
    if at is not None:
        query = query.where(supplies.c.made_at <= at)
    return {
        entry_key(row.entry_no): Supply(
            row.word, dt.date.fromisoformat(row.day), row.said_by,
            "skipper" if row.source == "skipper" else "officer",
            Decimal(row.price) if row.price else None, row.currency,
        )
        for row in connection.execute(query)
    }  # fmt: skip


def supply_document(row: RowMapping) -> dict[str, Any]:
    """What was said of one boat, as the interface shows it."""
    named = {"word": "supply", "said_by": "by"}
    return {named.get(k, k): v for k, v in row.items()}


def _last_of(connection: Connection, fleet_id: str, boat: str) -> RowMapping | None:
    query = (
        select(supplies)
        .where(supplies.c.fleet_id == fleet_id, supplies.c.boat_id == boat)
        .order_by(supplies.c.number.desc())
        .limit(1)
    )
    return connection.execute(query).mappings().first()
