"""The command that compares replies of suppliers and writes purchase orders; it changes no season."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Annotated

import typer
from rich.text import Text

from api.console import output, progress_bars
from api.season_options import OutFolder
from sizing.errors import CatalogueError, InputError

PURCHASE = "purchase"
Replies = Annotated[
    list[Path],
    typer.Argument(metavar="REPLY...", help="Workbooks that came back, or CSV of the same columns."),
]
Accept = Annotated[
    list[str] | None,
    typer.Option(
        "--accept", metavar="ITEM", help="Take what is offered instead for this item; may be repeated."
    ),
]
Today = Annotated[
    str, typer.Option("--today", metavar="YYYY-MM-DD", help="Judge how long prices hold as of this day.")
]


def quotes(replies: Replies, out: OutFolder = Path("out"), accept: Accept = None, today: Today = "") -> None:
    """Compare the prices that suppliers replied, and write the purchase orders.

    REPLY are the workbooks of DIR/order/quotes, filled in and sent back. The cheapest split that keeps least
    orders, packs, carriage and the day needed is chosen and explained; DIR/purchase gets the purchase orders
    with their mails, the comparison and prices.csv, which the next run takes with --prices. Whatever is wrong
    in a reply is named by file and cell, and then nothing is written.

    Example: drogue-muster quotes replies/*.xlsx --out out
    """
    from api.output_folder import claimed, staged
    from sizing.order.quotes.asked import ASKED, parse_round
    from sizing.order.quotes.explain import explained
    from sizing.order.quotes.reply import read_replies
    from sizing.order.quotes.results import result_files
    from sizing.order.quotes.split import choose
    from sizing.writing import write_files

    path = out / "order" / "quotes" / ASKED
    asked = parse_round(_bytes_of(path, "the --out folder of a run that made an order"), path.name)
    unknown = sorted(set(accept or ()) - {need.item for need in asked.needs})
    if unknown:
        raise InputError("--accept", f"“{unknown[0]}” is not asked for", "items of the request",
                         "copy the item from the comparison")  # fmt: skip
    given = [(reply.name, _bytes_of(reply, "a workbook or CSV that came back")) for reply in replies]
    taken = read_replies(given, asked)
    with claimed(out), progress_bars() as tell:
        day = _day(today) if today else date.today()
        split = choose(asked, taken, day, accepted=frozenset(accept or ()), tell=tell)
        with staged(out) as stage:
            (stage / PURCHASE).mkdir()
            write_files(stage / PURCHASE, result_files(asked, taken, split))
    for sentence in explained(asked, taken, split):
        output().print(Text(sentence))
    output().print(Text(f"purchase orders: {out / PURCHASE}"))


def _bytes_of(path: Path, expected: str) -> bytes:
    from sizing.order.quotes.grid import MOST_BYTES

    try:
        size = path.stat().st_size
        if size <= MOST_BYTES:
            return path.read_bytes()
    except OSError as problem:
        raise CatalogueError(str(path), f"it cannot be read ({problem.strerror})", expected,
                             "check the path and the permissions of the file") from problem  # fmt: skip
    raise CatalogueError(str(path), f"it is {size:,} bytes long", f"at most {MOST_BYTES:,} bytes",
                         "send the workbook as it was, filled in, without pictures")  # fmt: skip


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text.strip())
    except ValueError:
        raise InputError("--today", f"“{text}” is no day", "a day such as 2026-11-25", "correct it") from None


def add_quote_command(app: typer.Typer) -> None:
    """Add the command to the program's command line."""
    app.command()(quotes)
