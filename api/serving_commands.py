"""Commands about the server and its data: serve, token, log, backup, export, restore, verify.

As in `command_line`, what a command needs comes in with it, so that help does not wait for the server.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer
from rich.text import Text

from api.console import output
from api.season_options import Database, OutFolder
from sizing.errors import MusterError, missing_extra

if TYPE_CHECKING:
    from api.settings import Settings
    from api.storage.store import Store

OUT = Path("out")


def serve(
    out: OutFolder = OUT,
    database: Database = "",
    policy: Annotated[Path | None, typer.Option("--policy", help="The rally's own rules.")] = None,
    prices: Annotated[Path | None, typer.Option("--prices", help="Price book.")] = None,
    catalogue: Annotated[Path | None, typer.Option("--catalogue", help="Own tables of parts.")] = None,
    host: Annotated[str, typer.Option("--host", help="Address to listen at.")] = "127.0.0.1",
    port: Annotated[int, typer.Option("--port", min=1, max=65535, help="Port to listen at.")] = 8000,
) -> None:
    """Serve the interface for scrutineers, the dock page and the public sites.

    Nobody can sign in before a token was made: drogue-muster token make. A token may ask 600 times a minute
    of each server process; ten wrong tokens in a minute lock their address out for five, on all servers of
    one database, and tokens that count go on working from there. A process answers 500 requests at once;
    clients that send or take slowly are for a reverse proxy in front to bound.

    Example: drogue-muster serve --out out
    """
    try:
        from api.http.server import serve as run_server
    except ModuleNotFoundError as lost:
        raise missing_extra("server", lost) from None
    from api.settings import Settings

    settings = Settings(out, database, policy, prices, catalogue)
    settings.rules()  # a bad policy is reported before anything listens
    console = output()
    console.print(f"dock page:   http://{host}:{port}/dock/")
    console.print(f"description: http://{host}:{port}/docs/")
    run_server(settings, host, port)


token = typer.Typer(no_args_is_help=True, help="Make, list and revoke tokens.")


@token.command()
def make(
    name: Annotated[str, typer.Argument(help="Who will hold it; the audit trail shows this name.")],
    role: Annotated[str, typer.Option("--role", help="officer, scrutineer, chandlery or skipper")],
    fleet: Annotated[str | None, typer.Option("--fleet", help="Id of the one fleet it is for.")] = None,
    entry: Annotated[str | None, typer.Option("--entry", help="Entry number, for a skipper.")] = None,
    days: Annotated[int, typer.Option("--days", help="For how many days it counts.")] = 30,
    address: Annotated[str, typer.Option("--address", help="Address of the server, for the link.")] = "",
    out: OutFolder = OUT,
    database: Database = "",
) -> None:
    """Make a token. It is shown once; only its hash is kept.

    An officer may do everything; a scrutineer reads, inspects and signs; the chandlery reads the order and
    its papers; a skipper sees one boat and needs --fleet and --entry.

    Example: drogue-muster token make "B. Vennor" --role scrutineer --fleet f0123456789ab
    """
    from api.judging.identity import boat_id
    from api.season.tokens import make_token

    with _store(out, database) as store:
        key = boat_id(entry) if entry is not None else None
        secret = make_token(store, label=name, role=role, days=days, fleet_id=fleet, boat_id=key)
        known = entry is None or _is_entered(store, fleet, key)
    console = output()
    console.print(Text(f"token: {secret}"))
    if address:
        console.print(Text(f"link:  {address.rstrip('/')}/dock/#{secret}"))
    console.print("It is shown this once. Hand it over in person, and revoke it when it is lost.")
    if not known:
        console.print(Text(f"note: the fleet has no accepted boat of entry “{entry}” yet; is it written so?"))


@token.command("list")
def list_all(out: OutFolder = OUT, database: Database = "") -> None:
    """List all tokens, newest first, without their secrets."""
    from api.signin.tokens import list_tokens
    from api.storage.clock import now, to_the_minute

    with _existing(out, database) as store:
        rows = list_tokens(store)
    console = output()
    for row in rows:
        until = str(row["expires_at"])
        ended = f"{'until' if until > now() else 'expired'} {to_the_minute(until)}"
        if row["revoked_at"]:
            ended = f"revoked {to_the_minute(row['revoked_at'])}"
        where = " ".join(part for part in (row["fleet_id"], row["boat_id"]) if part) or "all fleets"
        used = f"last used {to_the_minute(row['last_used_at'])}" if row["last_used_at"] else "never used"
        console.print(Text(f"{row['id']}  {row['role']}, {row['label']}, {where}, {ended}, {used}"))
    console.print(f"{len(rows)} token{'s' * (len(rows) != 1)}")


@token.command()
def revoke(
    token_id: Annotated[str, typer.Argument(help="Id of the token, from the list.")],
    out: OutFolder = OUT,
    database: Database = "",
) -> None:
    """End a token. It counts no more after two seconds."""
    from api.season.tokens import revoke_token

    with _existing(out, database) as store:
        done = revoke_token(store, token_id)
    output().print("revoked" if done else "it was revoked before; nothing was changed")


def backup(
    target: Annotated[Path, typer.Argument(metavar="FILE.zip", help="Where to write; a new name.")],
    out: OutFolder = OUT,
    database: Database = "",
) -> None:
    """Write everything into one file, check it, and anchor the audit trail.

    It holds contact details: keep it as safe as the entry list.
    """
    from api.settings import Settings
    from api.storage.backup import backup as write_backup

    with _existing(out, database) as store:
        report = write_backup(store, Settings(out).anchors, target)
    output().print(f"written and checked: {report.path} ({sum(report.rows.values())} rows)")


def export(
    target: Annotated[Path, typer.Argument(metavar="DIR", help="Where to write; a new name.")],
    out: OutFolder = OUT,
    database: Database = "",
) -> None:
    """Write everything into a folder of CSV tables and of files as received, for any program to read.

    Its README.txt says what is in it. It holds contact details: keep it as safe as the entry list. The
    command restore takes it back, as it takes a backup.
    """
    from api.settings import Settings
    from api.storage.backup import export as write_folder

    with _existing(out, database) as store:
        report = write_folder(store, Settings(out).anchors, target)
    output().print(f"written and checked: {report.path} ({sum(report.rows.values())} rows)")


def restore(
    source: Annotated[Path, typer.Argument(metavar="FILE.zip|DIR", help="A backup, or an export.")],
    out: OutFolder = OUT,
    database: Database = "",
) -> None:
    """Fill a new folder or an empty database from a backup or an export; nothing is overwritten.

    A backup of either kind of database goes into either. Site, order, papers and tables are not in it: the
    server makes them anew when it starts, and so does drogue-muster publish.
    """
    from api.settings import Settings
    from api.storage.backup import restore as read_backup
    from api.storage.backup import verify_backup
    from api.storage.store import open_store

    verify_backup(source)  # before a new database is made for nothing
    store = open_store(Settings(out, database).url)
    try:
        report = read_backup(store, source, Settings(out).anchors)
    finally:
        store.close()
    console = output()
    console.print(f"restored: {sum(report.rows.values())} rows; the audit trail is whole")
    console.print("Site, order, papers and tables are made anew by `publish`, or when the server starts.")


def verify(
    source: Annotated[
        Path | None, typer.Argument(metavar="[FILE.zip|DIR]", help="A backup; without it, the data itself.")
    ] = None,
    made: Annotated[
        bool, typer.Option("--made", help="Make all that was published once more, and compare it too.")
    ] = False,
    out: OutFolder = OUT,
    database: Database = "",
) -> None:
    """Check the audit trail of a season, or a backup as a whole; exit code 2 where something is wrong.

    With --made, what lies in the folder is held against what the season gives, file by file.
    """
    from api.settings import Settings
    from api.storage.backup import verify_backup
    from api.trail import read_anchors, verify_trail

    console = output()
    if source is not None:
        report = verify_backup(source)
        console.print(f"whole: {sum(report.rows.values())} rows, {report.head.seq} records in the trail")
        return
    settings = Settings(out, database)
    with _existing(out, database) as store:
        with store.read() as connection:
            damage = store.damage()
            found = verify_trail(connection, read_anchors(settings.anchors))
        if damage or found.problems:
            raise MusterError(
                "audit trail" if found.problems else "database", "; ".join((*damage, *found.problems)),
                "a database and a trail that are whole",
                "compare with the last backup, and find out who can write to the database",
            )  # fmt: skip
        for note in found.notes:
            console.print(Text(f"note: {note}"))
        if not found.anchors:
            said = f"note: no anchor is in {settings.anchors}, so a cut end would not show; "
            console.print(Text(f"{said}the next backup writes one"))
        anchors = "1 anchor agrees" if found.anchors == 1 else f"{found.anchors} anchors agree"
        console.print(f"whole: {found.records} records, {anchors}")
        if made:
            _compare_made(store, settings)


def log(
    fleet: Annotated[str | None, typer.Option("--fleet", metavar="ID", help="Of this fleet alone.")] = None,
    last: Annotated[int, typer.Option("--last", metavar="N", min=1, help="The newest so many.")] = 30,
    out: OutFolder = OUT,
    database: Database = "",
) -> None:
    """Say what was done, by whom and to which boat or list: a line each, the newest last.

    Example: drogue-muster log --last 10
    """
    from api.officer_log import log_lines

    with _existing(out, database) as store, store.read() as connection:
        lines = log_lines(connection, fleet, last)
    console = output()
    for line in lines or ["Nothing was done yet."]:
        console.print(Text(line), soft_wrap=True)


def add_commands(app: typer.Typer) -> None:
    """Add all of these commands to the program's command line."""
    for command in (serve, log, backup, export, restore, verify):
        app.command()(command)
    app.add_typer(token, name="token")


@contextmanager
def _store(out: Path, database: str) -> Iterator[Store]:
    """The season's store, brought up to date, closed at the end."""
    from api.season.open_season import open_season
    from api.settings import Settings

    with open_season(Settings(out, database)) as store:
        yield store


@contextmanager
def _existing(out: Path, database: str) -> Iterator[Store]:
    """The same, of a season that is there: a mistyped folder is reported, and no empty one made in it."""
    from api.season.open_season import open_existing
    from api.settings import Settings

    with open_existing(Settings(out, database)) as store:
        if store is None:
            raise MusterError(
                "database" if database else f"folder {out}", "there is no season of this program",
                "the --out folder of a run or of a server", "correct --out or --database",
            )  # fmt: skip
        yield store


def _compare_made(store: Store, settings: Settings) -> None:
    """Say for each fleet whether what lies in the folder is what the season gives."""
    from sqlalchemy import select

    from api.season.again import MOST_NAMED, compare_made
    from api.season.lists import state_of
    from api.storage.schema import fleets

    with store.read() as connection:
        ids = connection.execute(select(fleets.c.id).order_by(fleets.c.created_at)).scalars().all()
        states = [state_of(connection, fleet_id) for fleet_id in ids]
    for state in states:
        found = compare_made(store, settings, state)
        if found.unknown:
            output().print(Text(f"{state.name}: not compared: {found.unknown}"))
        elif found.differs:
            more = f" and {len(found.differs) - MOST_NAMED} more" if len(found.differs) > MOST_NAMED else ""
            raise MusterError(
                f"what was made for “{state.name}”",
                f"{len(found.differs)} files are not what the season gives: "
                f"{', '.join(found.differs[:MOST_NAMED])}{more}",
                "files as the program made them", "publish them anew: drogue-muster publish",
            )  # fmt: skip
        else:
            output().print(Text(f"{state.name}: {found.files} files are what the season gives"))


def _is_entered(store: Store, fleet_id: str | None, boat: str | None) -> bool:
    from sqlalchemy import select

    from api.storage.schema import entries

    here = entries.c.fleet_id == fleet_id, entries.c.boat_id == boat
    with store.read() as connection:
        return connection.execute(select(entries.c.row).where(*here)).first() is not None
