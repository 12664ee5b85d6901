"""The commands about skippers' answers: their links, forms as files, and answers that came by mail."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer
from rich.text import Text

from api.console import output
from api.season_commands import OUT, AtHand, Today, at_hand
from api.season_options import Database, FleetName, OutFolder
from sizing.errors import InputError

if TYPE_CHECKING:
    from api.season.acting import Acting
    from api.season.answer_text import Wrong
    from api.season.invitations import Link
    from api.season.listed import ListedBoat

INVITATIONS = "invitations"
FORMS = "forms"
MOST_NAMED = 20
Entries = Annotated[
    list[str] | None, typer.Argument(metavar="[ENTRY]...", help="Entry numbers; all boats if not given.")
]


def invite(
    entries: Entries = None,
    address: Annotated[
        str, typer.Option("--address", metavar="URL", help="Where the server is on the web: https://...")
    ] = "",
    end: Annotated[bool, typer.Option("--end", help="End the links of the boats named, at once.")] = False,
    days: Annotated[int, typer.Option("--days", metavar="N", help="How long a link lasts.")] = 300,
    out: OutFolder = OUT,
    database: Database = "",
    name: FleetName = "",
    today: Today = "",
) -> None:
    """Make the link by which each skipper answers about her own boat; needs a server that they reach.

    DIR/invitations gets invitations.csv for a mail merge, and the link of each boat as a QR code. They are
    for the officer alone, and each link is told there once: it is kept nowhere else. Boats that have a link
    keep it; one that is named gets a new one, and the one before ends.

    Examples: drogue-muster invite --address https://rally.example; drogue-muster invite 017 --end
    """
    from urllib.parse import urlsplit

    from api.judging.identity import boat_id
    from api.running import OFFICER
    from api.season.invitations import boats_with_link, end_link
    from api.season.invitations import invite as make_link

    with at_hand(out, database, name, today) as here:
        fleet_id = here.state.fleet_id
        if end:
            if not entries:
                raise InputError("--end", "no boat is named", "the entry numbers of the boats",
                                 "name the boats whose links end")  # fmt: skip
            here.store.write(
                lambda connection: [
                    end_link(connection, OFFICER, fleet_id, boat_id(entry), entry) for entry in entries
                ]
            )
            output().print(Text(f"ended: {_links(len(entries))}. What was answered by them stays."))
            return
        if urlsplit(address).scheme not in ("http", "https") or not urlsplit(address).netloc:
            raise InputError("--address", f"“{address}” is no address of a server", "such as https://rally.example",
                             "say where skippers reach the server")  # fmt: skip
        with here.store.read() as connection:
            having = boats_with_link(connection, fleet_id)
        listed = _listed(here)
        wanted = entries or [one.entry_no for one in listed if one.boat_id not in having]
        links = here.store.write(
            lambda connection: [
                make_link(connection, OFFICER, fleet_id, boat_id(entry), days=days, called=entry)
                for entry in wanted
            ]
        )
        _write_links(here, out / here.state.folder / INVITATIONS, links, address)
    kept = len(having) if not entries else 0
    said = f"made: {_links(len(links))}" + (f"; {kept} boats keep theirs" if kept else "")
    output().print(Text(f"{said}. For the officer alone: {out / here.state.folder / INVITATIONS}"))


def forms(
    entries: Entries = None,
    out: OutFolder = OUT,
    database: Database = "",
    name: FleetName = "",
    today: Today = "",
) -> None:
    """Write each skipper's form as a file, for a club without a server: one HTML file a boat, in DIR/forms.

    She opens it without a network, and sends back the text that it gives; `answers` reads that. Send each
    file to its own skipper alone.

    Example: drogue-muster forms 017 --out out
    """
    from api.answer.form_file import form_file
    from api.judging.identity import boat_id
    from api.season.engines import Engines
    from api.season.forms import form_to_send
    from sizing.chase.messages import message_names
    from sizing.writing import write_files

    with at_hand(out, database, name, today) as here:
        engine = Engines(here.store, here.settings).in_force().engine
        wanted = entries or [one.entry_no for one in _listed(here)]
        stems = message_names(wanted)
        files = {
            f"form-{stem}.html": form_file(
                form_to_send(here.store, engine, here.settings, here.state.fleet_id, boat_id(entry))
            )
            for entry, stem in zip(wanted, stems, strict=True)
        }
        folder = out / here.state.folder / FORMS
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        write_files(folder, files)
    output().print(Text(f"forms: {len(files)}, in {folder}; send each to its own skipper"))


def answers(
    files: Annotated[
        list[Path] | None, typer.Argument(metavar="[FILE]...", help="Mails or texts with answers, as saved.")
    ] = None,
    out: OutFolder = OUT,
    database: Database = "",
    name: FleetName = "",
    today: Today = "",
) -> None:
    """Take in what skippers answered by mail; without files, say which answers do not count and why.

    FILE is the text that a form gave, or the mail it was pasted into. All files are taken in, or none: what
    is wrong is named by file, line and column. The next run or publish follows it.

    Example: drogue-muster answers mails/*.txt --out out
    """
    from api.season.answer_text import read_answers
    from api.season.open_season import secret_of
    from api.season.together import prepared_together

    with at_hand(out, database, name, today) as here:
        if not files:
            _tell_doubts(here)
            return
        with here.store.read() as connection:
            secret = secret_of(connection)
        blocks, wrong = [], []
        for path in files:
            found, problems = read_answers(path.name, _bytes_of(path), secret)
            blocks += found
            wrong += problems
        acting = _acting(here)
        _refuse(wrong)
        works, problems = prepared_together(acting, here.state.fleet_id, blocks)
        _refuse(problems)
        saved = here.store.write(lambda connection: [work(connection) for work in works])
    count = sum(len(one.numbers) for one in saved)
    boats = f"{len(saved)} boat{'' if len(saved) == 1 else 's'}"
    output().print(Text(f"taken in: {count} answers of {boats}. The next run or publish follows it."))


def add_skipper_commands(app: typer.Typer) -> None:
    """Add all of these commands to the program's command line."""
    for command in (invite, forms, answers):
        app.command()(command)


def _acting(here: AtHand) -> Acting:
    from api.running import OFFICER
    from api.season.acting import Acting
    from api.season.engines import Engines

    at = Engines(here.store, here.settings).in_force()
    return Acting(OFFICER, here.store, at.engine, at.number, here.settings, here.store.write)


def _tell_doubts(here: AtHand) -> None:
    from api.season.doubts import doubts_of
    from sizing.fields import FIELD_BY_NAME

    with here.store.read() as connection:
        doubts = doubts_of(connection, here.state.fleet_id, here.settings.day())
    names = {one.boat_id: one for one in _listed(here)}
    for one in doubts:
        boat = names.get(one.boat_id)
        named = f"{boat.entry_no} {boat.boat_name}" if boat else one.boat_id
        output().print(Text(f"{named}, {FIELD_BY_NAME[one.field].label}: {one.said} {one.sentence}"))
    if not doubts:
        output().print("Every answer counts, or says what was measured.")


def _refuse(wrong: list[Wrong]) -> None:
    """Refuse with all that is wrong, each by its place."""
    if not wrong:
        return
    told = [f"{one.where}: {one.found}. Expected: {one.expected}. To mend it: {one.mend}." for one in wrong]
    for line in told[:MOST_NAMED]:
        output().print(Text(line))
    raise InputError(
        wrong[0].where if len(wrong) == 1 else f"{len(wrong)} places", "see above",
        "answers that can be read", "mend them, or ask her again; nothing was taken in",
    )  # fmt: skip


def _bytes_of(path: Path) -> bytes:
    from api.season.answer_text import MOST_BYTES

    try:
        with path.open("rb") as file:
            return file.read(MOST_BYTES + 1)
    except OSError as problem:
        raise InputError(str(path), f"it cannot be read ({problem.strerror})", "a readable file",
                         "check the path and the permissions of the file") from problem  # fmt: skip


def _links(count: int) -> str:
    return f"{count} link{'' if count == 1 else 's'}"


def _listed(here: AtHand) -> list[ListedBoat]:
    from api.season.listed import boats_of_list

    with here.store.read() as connection:
        return boats_of_list(connection, here.state.fleet_id)


def _write_links(here: AtHand, folder: Path, links: list[Link], address: str) -> None:
    """Write the merge file and the QR codes; both carry what is told nowhere else."""
    from api.season.invitations import link_files
    from sizing.writing import write_files

    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    with here.store.read() as connection:
        write_files(folder, link_files(connection, here.state.fleet_id, links, address))
