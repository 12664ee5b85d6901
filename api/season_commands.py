"""The commands of a season beside `run`: what was delivered and counted, a list taken back, or made again."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer
from rich.text import Text

from api.console import output, progress_bars
from api.season_options import Database, FleetName, OutFolder
from sizing.errors import InputError, OutputError

if TYPE_CHECKING:
    from api.season.lists import FleetState
    from api.season.stock import StockKind
    from api.settings import Settings
    from api.storage.store import Store

OUT = Path("out")
Listed = Annotated[Path, typer.Argument(metavar="FILE.csv", help="A table; its columns are named above.")]
Today = Annotated[
    str, typer.Option("--today", metavar="YYYY-MM-DD", help="Judge dates as of this day, not today.")
]


def receive(listed: Listed, out: OutFolder = OUT, database: Database = "", name: FleetName = "") -> None:
    """Record a delivery: what came is used first from now on, and is not bought again.

    FILE.csv has columns item and packs (with pack_size where the order has several), or item and quantity; or
    it is the order's own order.csv, as far as it came. Each delivery is recorded for itself; they add up. A
    column cut says how many of the packs are cut already; a row with packs 0 and a cut tells of packs that
    came before and were cut since. `publish` or the next `run` makes the order anew.

    Example: drogue-muster receive delivery.csv --out out
    """
    _record("delivery", listed, out, database, name)


def stock(listed: Listed, out: OutFolder = OUT, database: Database = "", name: FleetName = "") -> None:
    """Record a stocktake: rope, tape and chain left over on the shelf, in the place of the count before.

    FILE.csv has columns item, length and quantity. Whole packs are counted by their delivery.

    Example: drogue-muster stock shelf.csv --out out
    """
    _record("stocktake", listed, out, database, name)


def issue(listed: Listed, out: OutFolder = OUT, database: Database = "", name: FleetName = "") -> None:
    """Record what was handed out: each length by its tag. It still counts for that boat, and for no other.

    FILE.csv has columns tag and entry; an entry left out is that of the boat a piece was cut for. The tags
    are those of order/stock.csv.

    Example: drogue-muster issue handed-out.csv --out out
    """
    _record("issue", listed, out, database, name)


def take_back(listed: Listed, out: OutFolder = OUT, database: Database = "", name: FleetName = "") -> None:
    """Record what came back from boats: each length by its tag. It is used first, as any offcut is.

    FILE.csv has columns tag and length; a length left out is all of it.

    Example: drogue-muster take-back came-back.csv --out out
    """
    _record("return", listed, out, database, name)


def undo(out: OutFolder = OUT, database: Database = "", name: FleetName = "", today: Today = "") -> None:
    """Take back the last list: the one before it is in force again, with its rules.

    Nothing is deleted: the trail keeps both. It is refused, and says why, once measurements, sign-offs or
    deliveries rest on the last list.

    Example: drogue-muster undo --out out
    """
    from api.output_folder import claimed
    from api.running import OFFICER
    from api.season import again

    with at_hand(out, database, name, today) as here, claimed(out), _unmoved(), progress_bars() as progress:
        last, earlier = again.undo(here.store, here.settings, here.state, OFFICER, progress)
    output().print(
        Text(
            f"taken back: list {last.number}, {last.filename}. In force again: list {earlier.number}, "
            f"{earlier.filename}, with its rules; site, order and tables are made anew."
        )
    )


def publish(
    folder: Annotated[
        Path | None,
        typer.Argument(
            metavar="FOLDER", help="Lay the site there too, as plain files to copy to a web host."
        ),
    ] = None,
    as_of: Annotated[
        str, typer.Option("--as-of", metavar="LIST", help="Number of a list, or a day it was in force.")
    ] = "",
    to: Annotated[
        Path | None, typer.Option("--to", metavar="DIR", help="With --as-of: where it goes; a new folder.")
    ] = None,
    out: OutFolder = OUT,
    database: Database = "",
    name: FleetName = "",
    today: Today = "",
) -> None:
    """Make site, order, papers and tables anew from the season, with all that was recorded since.

    FOLDER is a plain copy of the site, without links: it is replaced as a whole each time.
    With --as-of they are made as the season stood when that list came into force, into a folder of their own
    (DIR/lists/NUMBER); what is published stays as it is.

    Examples: drogue-muster publish --out out; drogue-muster publish to-upload;
    drogue-muster publish --as-of 2 --to second-week
    """
    from api.output_folder import claimed
    from api.running import OFFICER
    from api.season import again
    from api.season.lists import PROGRAM
    from sitegen.publish import lay_out

    if to is not None and not as_of:
        raise InputError("--to", "it goes with --as-of alone", "the season's own folder for what counts now",
                         "leave --to out, or add --as-of")  # fmt: skip
    if folder is not None and as_of:
        raise InputError("FOLDER", "it is for the site that counts now", "FOLDER without --as-of",
                         "leave one of the two out; --to says where an earlier list goes")  # fmt: skip
    with at_hand(out, database, name, today) as here:
        if not as_of:
            with claimed(out), _unmoved(), progress_bars() as progress:
                again.publish_now(here.store, here.settings, here.state, OFFICER, progress)
                site = out / here.state.folder / "site"
                if folder is not None:
                    lay_out(site, folder)
            output().print(Text(f"made anew: {site / 'index.html'}"))
            if folder is not None:
                output().print(Text(f"to upload: {folder}, the site as plain files"))
            return
        with here.store.read() as connection:
            kept = again.list_as_of(connection, here.state.fleet_id, as_of.strip())
        target = to or out / here.state.folder / "lists" / str(kept.number)
        if to is not None and to.is_dir() and any(to.iterdir()):
            raise InputError("--to", f"{to} holds something already", "a new folder, or an empty one",
                             "choose another --to; nothing was changed")  # fmt: skip
        if kept.program != PROGRAM:
            said = f"note: list {kept.number} was made by version {kept.program}, and this is {PROGRAM}: "
            output().print(Text(f"{said}what it makes may differ from what was published then."))
        with claimed(target), progress_bars() as progress:
            again.make_as_of(here.store, here.state, kept, target, progress)
    output().print(Text(f"made of list {kept.number}, {kept.filename}, as of {kept.day}: {target}"))


def add_season_commands(app: typer.Typer) -> None:
    """Add all of these commands to the program's command line."""
    for command in (receive, stock, issue, take_back, undo, publish):
        app.command()(command)


@dataclass(frozen=True)
class AtHand:
    """An existing season, and the fleet that a command is about."""

    store: Store
    settings: Settings
    state: FleetState


@contextmanager
def at_hand(out: Path, database: str, name: str, today: str = "") -> Iterator[AtHand]:
    """Open the season of an earlier run, and find its fleet; InputError where there is none."""
    from api.season.fleets import fleet_named
    from api.season.lists import state_of
    from api.season.open_season import open_existing
    from api.settings import Settings

    settings = Settings(out, database, today=day_named(today) if today else None)
    with open_existing(settings) as store:
        if store is not None:
            with store.read() as connection:
                fleet_id = fleet_named(connection, name)
                if fleet_id is not None:
                    state = state_of(connection, fleet_id)
        if store is not None and fleet_id is None and name:
            raise InputError("--fleet", f"no fleet of this season is called “{name}”",
                             "the name or id of one of its fleets", "correct --fleet")  # fmt: skip
        if store is None or fleet_id is None:
            raise InputError(
                (database and "database") or f"folder {out}", "there is no season of this program",
                "the --out folder of an earlier run", "correct --out, or run the entry list first",
            )  # fmt: skip
        yield AtHand(store, settings, state)


def _record(kind: StockKind, listed: Path, out: Path, database: str, name: str) -> None:
    from api.running import OFFICER
    from api.season.rules import number_in_force, rules_of
    from api.season.stock import NothingCameError, take_stock
    from sizing.order import known_items
    from sizing.order.csv_table import read_bytes

    content = read_bytes(listed)
    with at_hand(out, database, name) as here:
        with here.store.read() as connection:
            catalogue = rules_of(connection, number_in_force(connection)).load().catalogue
        items = known_items(catalogue)
        try:
            taken = here.store.write(
                lambda connection: take_stock(
                    connection, OFFICER, here.state.fleet_id, kind, listed.name, content, items
                )
            )
        except NothingCameError as none:
            output().print(Text(f"note: {none.where}: {none.found}; {none.mend}."))
            return
    console = output()
    for note in taken.notes:
        if note.startswith(listed.name):  # of those before, it was said when they came
            console.print(Text(f"note: {note}"))
    items = {**items, **{rope.item.id: rope.item for rope in taken.came}}
    console.print("in hand with all that was recorded:")
    for item in sorted({*taken.lengths_mm, *taken.cut, *taken.sums}):
        known = items[item]
        lengths = taken.lengths_mm.get(item, ())
        parts = []
        if item in taken.sums:
            whole = known.unit == "piece"
            total = taken.sums[item]
            parts.append(_counted(int(total), "piece") if whole else f"{total:f} {known.unit}")
        if lengths:
            parts.append(f"{_counted(len(lengths), 'length')}, {sum(lengths) / 1000:,.1f} m")
        if cut := sum(one.quantity for one in taken.cut.get(item, ())):
            parts.append(f"{_counted(cut, 'piece')} cut")
        console.print(Text(f"  {item}, {known.description}: {'; '.join(parts)}"))
    said = f"recorded: {kind} {listed.name}. The next run or publish orders what is still wanted."
    console.print(Text(said))


@contextmanager
def _unmoved() -> Iterator[None]:
    from api.season.lists import MovedOn

    try:
        yield
    except MovedOn:
        raise OutputError(
            "the season", "something was recorded while this was worked out", "a season at rest for a minute",
            "give the command again; nothing was changed",
        ) from None  # fmt: skip


def day_named(text: str, option: str = "--today") -> date:
    """Return the day that is written behind an option; InputError for what is none."""
    try:
        return date.fromisoformat(text.strip())
    except ValueError:
        raise InputError(option, f"“{text}” is no day", "a day such as 2026-11-25", "correct it") from None


def _counted(count: int, one: str) -> str:
    return f"{count} {one}" if count == 1 else f"{count} {one}s"
