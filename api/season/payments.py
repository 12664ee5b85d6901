"""What boats paid towards their parts, and what went back to them."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from decimal import Decimal
from typing import Any, Final, Literal

from sqlalchemy import Connection, RowMapping, func, insert, select

from api.season.acts import PAID, REFUNDED, Act, record
from api.season.errors import NotFound, NotValid, Refused
from api.season.listed import ListedBoat, listed_boat
from api.season.money import amount_of, day_of, name_of
from api.storage.clock import now
from api.storage.schema import payments
from api.storage.scrutiny import next_version
from api.trail.chain import Actor
from sizing.model import Payment
from sizing.units import clip

PaymentKind = Literal["payment", "refund"]
_ACTS: Final[dict[PaymentKind, Act]] = {"payment": PAID, "refund": REFUNDED}
_MOST_REFERENCE: Final = 80


def record_payment(
    connection: Connection,
    actor: Actor,
    fleet_id: str,
    boat: str,
    *,
    kind: PaymentKind,
    amount: str,
    by: str,
    day: dt.date | None = None,
    currency: str = "",
    reference: str = "",
    in_force: str,
    today: dt.date,
    called: str = "",
) -> RowMapping:
    """Record a payment for a boat's parts, or a refund, made by `by` on `day` (today where that is left out).

    `currency` is that of the sum, `in_force` that of the price book: they have to be the same. The same sum
    of the same boat on the same day is taken for the same payment told twice, unless its `reference` differs.
    A refund may go to a boat that left the list, and is no more than what she paid. Raises NotFound, NotValid
    or Refused; nothing is recorded then.
    """
    of_hers = (payments.c.fleet_id == fleet_id, payments.c.boat_id == boat)
    earlier = (
        connection.execute(select(payments).where(*of_hers).order_by(payments.c.number)).mappings().all()
    )
    listed = _boat(connection, fleet_id, boat, called, kind, earlier)
    where = f"{kind} of entry {listed.entry_no}"
    if currency and in_force and currency != in_force:
        raise NotValid(
            where, f"the sum is in {clip(currency)}", f"{in_force}, the currency of the price book in force",
            "change it at the rate of the day it was paid; nothing was recorded",
        )  # fmt: skip
    paid, paid_on = amount_of(where, amount, in_force), day_of(where, day or today, today)
    told = " ".join(reference.split())
    if len(told) > _MOST_REFERENCE or not told.isprintable():
        raise NotValid(where, f"“{clip(reference)}” is no reference", f"at most {_MOST_REFERENCE} characters",
                       "shorten it; nothing was recorded")  # fmt: skip
    for one in earlier:
        same = (kind, paid, paid_on.isoformat(), told)
        if (one["kind"], Decimal(one["amount"]), one["day"], one["reference"]) == same:
            raise Refused(
                where, f"{in_force} {paid} of {paid_on.isoformat()} is recorded already, as number "
                f"{one['number']}", "each payment once",
                "give it a reference of its own if it is another one; nothing was recorded",
            )  # fmt: skip
    if kind == "refund" and paid > (left := balance(earlier)):
        raise Refused(
            where, f"{in_force} {paid} is more than the {in_force} {left} that she paid and did not get back",
            f"at most {in_force} {left}", "correct the sum; nothing was recorded",
        )  # fmt: skip
    last = select(func.max(payments.c.number)).where(payments.c.fleet_id == fleet_id)
    number = int(connection.execute(last).scalar() or 0) + 1
    connection.execute(
        insert(payments).values(
            fleet_id=fleet_id, number=number, boat_id=boat, entry_no=listed.entry_no,
            boat_name=listed.boat_name, kind=kind, amount=f"{paid:f}", currency=in_force,
            day=paid_on.isoformat(), paid_by=name_of(where, by), reference=told, made_at=now(),
            made_by=actor.name,
        )
    )  # fmt: skip
    next_version(connection, fleet_id)
    here = payments.c.fleet_id == fleet_id, payments.c.number == number
    row = connection.execute(select(payments).where(*here)).mappings().one()
    record(connection, actor, _ACTS[kind], fleet_id, f"{boat} {number}", after=payment_document(row))
    return row


def payments_made(connection: Connection, fleet_id: str, at: str | None = None) -> tuple[Payment, ...]:
    """Return every payment and refund of a fleet in the order they were recorded; `at` a moment, or now."""
    query = select(payments).where(payments.c.fleet_id == fleet_id).order_by(payments.c.number)
    if at is not None:
        query = query.where(payments.c.made_at <= at)
    return tuple(
        Payment(
            row.entry_no, row.boat_name, "refund" if row.kind == "refund" else "payment", Decimal(row.amount),
            row.currency, dt.date.fromisoformat(row.day), row.paid_by,
        )
        for row in connection.execute(query)
    )  # fmt: skip


def payment_document(row: RowMapping) -> dict[str, Any]:
    """A payment or refund as the interface shows it."""
    return {("by" if k == "paid_by" else k): v for k, v in row.items()}


def balance(found: Sequence[RowMapping]) -> Decimal:
    """Return what was paid and not given back."""
    return sum(
        (Decimal(one["amount"]) * (1 if one["kind"] == "payment" else -1) for one in found), Decimal("0.00")
    )


def _boat(
    connection: Connection,
    fleet_id: str,
    boat: str,
    called: str,
    kind: PaymentKind,
    earlier: Sequence[RowMapping],
) -> ListedBoat:
    """The boat of the list in force; for a refund also one that left it after she paid."""
    try:
        return listed_boat(connection, fleet_id, boat, called)
    except NotFound:
        if kind == "payment" or not earlier:
            raise
        return ListedBoat(boat, earlier[-1]["entry_no"], earlier[-1]["boat_name"])
