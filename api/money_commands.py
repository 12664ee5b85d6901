"""The commands about consent and money: how a boat gets her parts, and what she paid."""

from __future__ import annotations

from typing import Annotated

import typer
from rich.text import Text

from api.console import output
from api.season_commands import OUT, AtHand, Today, at_hand, day_named
from api.season_options import Database, FleetName, OutFolder

Entry = Annotated[str, typer.Argument(metavar="ENTRY", help="Entry number of the boat.")]
By = Annotated[str, typer.Option("--by", metavar="NAME", help="Who said so, or who paid.")]
On = Annotated[str, typer.Option("--on", metavar="YYYY-MM-DD", help="On which day; today if not given.")]
NEXT = "The next run or publish follows it."


def supply(
    entry: Entry,
    word: Annotated[
        str,
        typer.Argument(
            metavar="WORD",
            help="“rally order”, “own purchase”, “hire or borrow”, “has it” or declined.",
        ),
    ],
    by: By,
    on: On = "",
    price: Annotated[
        str, typer.Option("--price", metavar="AMOUNT", help="What she agreed to pay, such as 312.50.")
    ] = "",
    out: OutFolder = OUT,
    database: Database = "",
    name: FleetName = "",
    today: Today = "",
) -> None:
    """Say how a boat gets the parts she is short of. The rally buys for her where WORD is “rally order”.

    What the list says in gear_supply on a later day counts in its place.

    Example: drogue-muster supply 017 "rally order" --by "her skipper" --price 312.50
    """
    from api.judging.identity import boat_id
    from api.running import OFFICER
    from api.season.supplies import say_supply

    with at_hand(out, database, name, today) as here:
        currency, day = _currency(here), day_named(on, "--on") if on else None
        row = here.store.write(
            lambda connection: say_supply(
                connection, OFFICER, here.state.fleet_id, boat_id(entry), word=word.strip().lower(), by=by,
                day=day, price=price, currency=currency, today=here.settings.day(), called=entry,
            )
        )  # fmt: skip
    agreed = f", for {row['currency']} {row['price']}" if row["price"] else ""
    said = (
        f"recorded: entry {row['entry_no']}, {row['word']}{agreed}, said by {row['said_by']} on {row['day']}."
    )
    output().print(Text(f"{said} {NEXT}"))


def payment(
    entry: Entry,
    amount: Annotated[str, typer.Argument(metavar="AMOUNT", help="The sum, such as 312.50; above 0.")],
    by: By,
    on: On = "",
    refund: Annotated[
        bool, typer.Option("--refund", help="The sum goes back to her; at most what she paid.")
    ] = False,
    currency: Annotated[
        str, typer.Option("--currency", metavar="CODE", help="Refused if it is not the price book's.")
    ] = "",
    reference: Annotated[
        str, typer.Option("--reference", metavar="TEXT", help="Tells it from the same sum of the same day.")
    ] = "",
    out: OutFolder = OUT,
    database: Database = "",
    name: FleetName = "",
    today: Today = "",
) -> None:
    """Record what a boat paid towards her parts, or what went back to her.

    tables/ledger.csv, for the officer alone, says what each boat owes, paid and gets back.

    Example: drogue-muster payment 017 312.50 --by "her skipper" --on 2026-12-04
    """
    from api.judging.identity import boat_id
    from api.running import OFFICER
    from api.season.payments import record_payment

    with at_hand(out, database, name, today) as here:
        in_force, day = _currency(here), day_named(on, "--on") if on else None
        row = here.store.write(
            lambda connection: record_payment(
                connection, OFFICER, here.state.fleet_id, boat_id(entry),
                kind="refund" if refund else "payment", amount=amount, by=by, day=day,
                currency=currency.strip().upper(), reference=reference, in_force=in_force,
                today=here.settings.day(), called=entry,
            )
        )  # fmt: skip
    said = (
        f"recorded: {row['kind']} {row['number']}, entry {row['entry_no']}, {row['currency']} {row['amount']}"
    )
    output().print(Text(f"{said}, by {row['paid_by']} on {row['day']}. {NEXT}"))


def _currency(here: AtHand) -> str:
    """The currency of the price book in force, "" without one."""
    from api.season.rules import number_in_force, rules_of

    with here.store.read() as connection:
        prices = rules_of(connection, number_in_force(connection)).load().prices
    return prices.currency if prices else ""


def add_money_commands(app: typer.Typer) -> None:
    """Add both commands to the program's command line."""
    for command in (supply, payment):
        app.command()(command)
