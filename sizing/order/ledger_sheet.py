"""The ledger, for the officer alone: what each boat agreed to, owes, paid and gets back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from sizing.entry_key import entry_key
from sizing.model import CONSENT, Charge, FleetColumns, Order, Payment, Supply
from sizing.order.charges import FLEET
from sizing.order.consent_sheet import note_on
from sizing.order.sheets import FLEET_NAME, Row, Sheet, columns_of
from sizing.words import word

NOTHING: Final = Decimal("0.00")
LEDGER_COLUMNS: Final = columns_of(
    ("entry_no", "Entry", "text", 9),
    ("boat_name", "Boat", "text", 24),
    ("gear_supply", "How she gets her parts", "text", 24),
    ("said_on", "Said on", "text", 11),
    ("said_by", "Said by", "text", 24),
    ("source", "Where it stands", "text", 12),
    ("agreed_price", "Price agreed to", "money", 12),
    ("agreed_currency", "Currency of that", "text", 9),
    ("parts", "Her parts at cost", "money", 12),
    ("waste", "Whole packs, spares, offcuts, cents", "money", 12),
    ("owes", "Owes in all", "money", 12),
    ("would_cost", "Would cost", "money", 12),
    ("paid", "Paid", "money", 12),
    ("refunded", "Given back", "money", 12),
    ("to_pay", "Still to pay", "money", 12),
    ("to_refund", "To give back", "money", 12),
    ("currency", "Currency", "text", 9),
    ("note", "Note", "text", 60),
)
"""The column owes adds up, over all rows, to what came and what is ordered, to the cent."""


@dataclass(frozen=True)
class Account:
    """One boat's account; `row` is None for one that left the list, and for the fleet's own."""

    entry_no: str
    boat_name: str
    row: int | None
    supply: Supply
    charge: Charge
    paid: Decimal = NOTHING
    refunded: Decimal = NOTHING

    @property
    def left(self) -> Decimal:
        """What she has still to pay; below 0 what goes back to her."""
        return self.charge.owes - self.paid + self.refunded


def accounts_of(order: Order, fleet: FleetColumns, payments: Sequence[Payment]) -> tuple[Account, ...]:
    """Return an account for each boat that owes, paid or said something, those that left, the fleet's own."""
    currency, owed = order.charges.currency, order.charges.owed
    paid: dict[tuple[str, str], Decimal] = {}
    names: dict[str, tuple[str, str]] = {}
    for one in payments:
        key = entry_key(one.entry_no)
        names.setdefault(key, (one.entry_no, one.boat_name))
        if one.currency == currency or not currency:
            paid[key, one.kind] = paid.get((key, one.kind), NOTHING) + one.amount
    accounts = []
    listed: set[str] = set()
    text = fleet.text
    for row, (entry, name) in enumerate(zip(text["entry_no"], text["boat_name"], strict=True)):
        key, supply = entry_key(str(entry)), order.supply(row)
        listed.add(key)
        if key in owed or key in names or supply.word or row in order.would_be.rows:
            accounts.append(_account(str(entry), str(name), row, supply, owed.get(key, Charge()), paid))
    for key in sorted(({*owed} | {*names}) - listed - {FLEET}):
        entry_no, boat_name = names.get(key, (key, ""))
        accounts.append(_account(entry_no, boat_name, None, Supply(), owed.get(key, Charge()), paid))
    if FLEET in owed:
        accounts.append(Account("", FLEET_NAME, None, Supply(), owed[FLEET]))
    return tuple(accounts)


def _account(
    entry_no: str,
    name: str,
    row: int | None,
    supply: Supply,
    charge: Charge,
    paid: dict[tuple[str, str], Decimal],
) -> Account:
    key = entry_key(entry_no)
    return Account(
        entry_no, name, row, supply, charge, paid.get((key, "payment"), NOTHING),
        paid.get((key, "refund"), NOTHING),
    )  # fmt: skip


def ledger_sheet(order: Order, fleet: FleetColumns, payments: Sequence[Payment]) -> Sheet:
    """Return the ledger as a table. It holds names of people: it is for the officer alone."""
    others: dict[str, list[str]] = {}
    currency = order.charges.currency
    for one in payments:
        if currency and one.currency != currency:
            said = f"{one.kind} of {one.currency} {one.amount} on {one.day.isoformat()} is not counted"
            others.setdefault(entry_key(one.entry_no), []).append(said)
    rows = [_row(order, account, others) for account in accounts_of(order, fleet, payments)]
    return Sheet("Ledger", LEDGER_COLUMNS, tuple(rows))


def _row(order: Order, account: Account, others: dict[str, list[str]]) -> Row:
    supply, charge, row = account.supply, account.charge, account.row
    listed, left = row is not None, account.left
    would = order.would_be.boat_totals.get(row) if row is not None else None
    notes = [note_on(order, row)] if row is not None and (would is not None or charge.owes) else []
    if not listed and account.entry_no:
        notes.append("not on the list any more")
    if charge.owes and supply.word not in ("", CONSENT):
        notes.append("parts came for her before she said so")
    if supply.price is not None and supply.currency == order.charges.currency and charge.owes > supply.price:
        notes.append("more than she agreed to")
    notes += others.get(entry_key(account.entry_no), ())
    if not account.entry_no:
        notes += order.charges.notes
    said = word("supply", supply.word or "not said", "officer") if listed else ""
    return (
        account.entry_no, account.boat_name, said, supply.day.isoformat() if supply.day else "", supply.by,
        supply.source, supply.price, supply.currency, charge.parts, charge.waste, charge.owes, would,
        account.paid, account.refunded, max(left, NOTHING), max(-left, NOTHING),
        order.charges.currency, "; ".join(filter(None, notes)),
    )  # fmt: skip
