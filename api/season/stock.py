"""What the club has in hand: deliveries received over the season, and the last stocktake of loose lengths."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from typing import Final, Literal

from sqlalchemy import Connection, func, insert, select

from api.season.acts import CAME_BACK, COUNTED_STOCK, HANDED_OUT, RECEIVED_DELIVERY, Act, record
from api.storage.clock import now
from api.storage.packing import packed, unpacked
from api.storage.schema import fleets, revisions, stock_files
from api.storage.scrutiny import next_version
from api.trail.chain import Actor
from sizing.errors import InputError
from sizing.order import ClubStock, Delivery, Handed, Stocktake, stock_in_hand
from sizing.order.items import Item

StockKind = Literal["delivery", "stocktake", "issue", "return"]
_ACTS: Final[dict[StockKind, Act]] = {
    "delivery": RECEIVED_DELIVERY, "stocktake": COUNTED_STOCK, "issue": HANDED_OUT, "return": CAME_BACK,
}  # fmt: skip


class NothingCameError(InputError):
    """A list of a delivery on which nothing came: it is said, and no fault of anybody."""


def take_stock(
    connection: Connection,
    actor: Actor,
    fleet_id: str,
    kind: StockKind,
    filename: str,
    content: bytes,
    known: Mapping[str, Item],
) -> ClubStock:
    """Record a delivery, a stocktake, or what was handed out or came back; what is in hand with it.

    Raises CatalogueError where it cannot be used beside what was recorded before, NothingCameError where
    nothing was delivered: nothing is kept then.
    """
    before = stock_of(connection, fleet_id, known) or ClubStock()
    last = select(func.max(stock_files.c.number)).where(stock_files.c.fleet_id == fleet_id)
    number = int(connection.execute(last).scalar() or 0) + 1
    digest = hashlib.sha256(content).hexdigest()
    connection.execute(
        insert(stock_files).values(
            fleet_id=fleet_id, number=number, kind=kind, filename=filename, sha256=digest,
            content=packed(content), ordered=_order_in_force(connection, fleet_id), received_at=now(),
            received_by=actor.name,
        )
    )  # fmt: skip
    stock = stock_of(connection, fleet_id, known, new=kind == "delivery")
    assert stock is not None
    if kind == "delivery" and _amounts(stock) == _amounts(before):
        raise NothingCameError(
            filename, "no row of it says that anything came or was cut", "a row for each item that came",
            "check that it is the right file, and saved whole; nothing was recorded",
        )  # fmt: skip
    next_version(connection, fleet_id)
    after = {"filename": filename, "sha256": digest}
    record(connection, actor, _ACTS[kind], fleet_id, str(number), after=after, did=content)
    return stock


def _amounts(stock: ClubStock) -> tuple[object, ...]:
    return stock.lengths_mm, stock.cut, {item: total for item, total in stock.sums.items() if total}


def stock_of(
    connection: Connection,
    fleet_id: str,
    known: Mapping[str, Item],
    at: str | None = None,
    *,
    new: bool = False,
) -> ClubStock | None:
    """What is in hand, or was at a moment; None where nothing was ever recorded.

    With `new` the last delivery is being received, and is refused where it cannot be of what was ordered.
    """
    query = select(stock_files).where(stock_files.c.fleet_id == fleet_id).order_by(stock_files.c.number)
    if at is not None:
        query = query.where(stock_files.c.received_at <= at)
    deliveries: list[Delivery] = []
    shelf: Stocktake | None = None
    handed: list[Handed] = []
    for row in connection.execute(query):
        content = unpacked(bytes(row.content))
        if row.kind == "delivery":
            order = unpacked(bytes(row.ordered)) if row.ordered is not None else b""
            deliveries.append(Delivery(content, row.filename, order))
        elif row.kind == "stocktake":
            shelf = Stocktake(content, row.filename, after=len(deliveries), handed=len(handed))
        else:
            handed.append(Handed(content, row.filename, row.kind, after=len(deliveries)))
    if not deliveries and shelf is None and not handed:
        return None
    return stock_in_hand(deliveries, shelf, known, handed=handed, new=new)


def _order_in_force(connection: Connection, fleet_id: str) -> bytes | None:
    """The order as it was made last for the list in force, packed; None before there was one."""
    found: bytes | None = connection.execute(
        select(revisions.c.ordered)
        .join(fleets, (fleets.c.id == revisions.c.fleet_id) & (fleets.c.revision == revisions.c.number))
        .where(fleets.c.id == fleet_id)
    ).scalar()
    return found
