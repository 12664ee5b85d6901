"""What is made of a season and where it is put: tables, order, papers, messages and the site.

All of it follows from the store, the day and the program. It is made beside what stands there, and put in its
place once it is whole and what it was made of is kept: what is made never tells of a list that is not kept.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import json
import secrets
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, field, replace
from functools import cache
from pathlib import Path
from typing import Any, Final

from sqlalchemy import Connection, Row, delete, insert, select, update

from api.output_folder import MADE_OF, PARTS, settle, staged
from api.parts import ALL, ORDER, PAPERS, SITE, TABLES
from api.season.acts import PUBLISHED, record
from api.season.lists import PROGRAM, FleetState, MovedOn
from api.season.rules import number_in_force
from api.second_process import SecondProcess
from api.storage.clock import now
from api.storage.packing import packed
from api.storage.schema import fleets, published, revisions
from api.storage.store import Store
from api.trail import Head, head_of, write_anchor
from api.trail.chain import Actor
from sitegen import build_site
from sitegen.addresses import boat_slugs, page_addresses
from sizing.chase import calls_csv, calls_of, chase_actions, chase_csv, messages_for, write_messages
from sizing.intake import write_rejects
from sizing.model import MusterResult, Payment
from sizing.order.ledger_sheet import ledger_sheet
from sizing.order.loft.cloth_jobs import cloth_jobs, pattern_told
from sizing.papers.files import call_list_files
from sizing.policy import Policy
from sizing.privacy import private_boats
from sizing.progress import Progress, silent
from sizing.revision import (
    ChangeReport,
    Snapshot,
    change_report_text,
    changes_csv,
    compare,
    snapshot_bytes,
    snapshot_of,
)
from sizing.spreadsheet import csv_bytes, plain_text
from sizing.story import RallyRules
from sizing.summary import write_summary
from sizing.writing import write_files

ORDER_JSON: Final = "order.json"
LEDGER: Final = "ledger.csv"
"""What boats agreed to, owe and paid; for the officer alone, as all of `tables`."""


@dataclass(frozen=True)
class Work:
    """What is made of a result: parts, what is told of an earlier list (`before`), the rally's pages."""

    result: MusterResult
    rules: RallyRules
    make: frozenset[str] = ALL
    base_url: str = ""
    before: Snapshot | None = None
    secret: bytes = b""
    pages: Mapping[str, bytes] = field(default_factory=dict)
    payments: tuple[Payment, ...] = ()

    def found(self) -> Snapshot | None:
        """What a later list is compared with; nothing where nothing was planned or ordered."""
        if self.make == {TABLES}:
            return None
        policy, catalogue = self.rules.policy, self.rules.catalogue
        return snapshot_of(self.result, policy, catalogue, key=self.secret, previous=self.before)


@dataclass(frozen=True)
class Made:
    """What was made, with the hash of each file of the order and the papers, and the order itself."""

    found: Snapshot | None
    order_files: Mapping[str, str]
    ordered: bytes | None


def make_all(
    work: Work,
    out: Path,
    *,
    second: SecondProcess,
    progress: Progress = silent,
    before_publishing: Callable[[Made], str] = lambda _: "",
) -> ChangeReport | None:
    """Make what is asked for below `out`; the old parts stay until all the new ones are whole.

    `before_publishing` is called when they are: what it raises leaves everything as it was, and what it
    returns says of what all of this was made. `second` writes tables, order and papers while the site is made
    here. Returns what changed since the earlier list, if there is one to compare with.
    """
    result, rules, make = work.result, work.rules, work.make
    with staged(out) as stage:
        tables = stage / "tables"
        tables.mkdir()
        patterns = _patterns(result, rules, second) if SITE in make else None
        entries = [str(entry) for entry in result.intake.fleet.text["entry_no"]]
        private = private_boats(result.intake.fleet, rules.policy)
        secret = work.secret or secrets.token_bytes()
        pages = page_addresses(entries, work.base_url or "site", private, secret)
        stems = boat_slugs(entries, private, secret)
        papers = cache(second.hand(
            "api.paper_work", "write_paper_work", result, rules.policy, rules.catalogue, rules.prices, make,
            stage, [pages[entry] for entry in entries] if work.base_url else None, stems,
        ))  # fmt: skip
        write_rejects(result.intake, tables / "rejects.csv")
        if PAPERS in make:
            _write_for_people(result, rules.policy, stage, pages, private)
        found = work.found()
        changes = compare(work.before, found) if work.before and found else None
        if changes is not None:
            (tables / "changes.csv").write_bytes(changes_csv(changes))
            (tables / "changes.txt").write_text(change_report_text(changes), encoding="utf-8")
        if make != {TABLES}:  # else nothing was ordered
            ledger = ledger_sheet(result.order, result.intake.fleet, work.payments)
            (tables / LEDGER).write_bytes(ledger.csv())
        write_summary(result, make, stage / "summary.json")

        def rest_is_whole() -> None:
            papers()
            settle(stage)  # so that the new site stands beside old tables for no longer than renaming takes
            if told := before_publishing(_made(found, stage / "order")):
                (stage / MADE_OF).write_text(told, encoding="utf-8")

        if patterns is None:
            rest_is_whole()
        else:
            build_site(
                result, rules.policy, rules.catalogue, out / "site", base_url=work.base_url, changes=changes,
                downloads=patterns(), pages=work.pages, private_key=secret,
                papers=_waited_for(papers, stage) if PAPERS in make else None,
                progress=progress, before_publishing=rest_is_whole,
            )  # fmt: skip
    return changes


def publish(
    store: Store,
    actor: Actor,
    state: FleetState,
    work: Work,
    out: Path,
    anchors: Path,
    *,
    day: dt.date,
    second: SecondProcess,
    take_in: Callable[[Connection], int] | None = None,
    still_wanted: Callable[[Connection], None] = lambda _: None,
    progress: Progress = silent,
) -> ChangeReport | None:
    """Make what is asked for of the list in force, keep what it was made of, and put it in its place.

    `state` is the fleet as it stood when that was read. What is made never replaces what tells of more:
    MovedOn where another list or other rules are in force by now, or what stands there is of a later version.

    `take_in` puts a list in force, in the same transaction, and returns its number: then either the list is
    in force and what was made of it is whole, or nothing happened. What it raises ends the making, and so
    does what `still_wanted` raises in that transaction.
    """

    def keep(made: Made) -> str:
        def write(connection: Connection) -> tuple[Head, str]:
            still_wanted(connection)
            if take_in is None:
                _refuse_overtaken(connection, state)
            number = take_in(connection) if take_in else None
            told = _note(connection, actor, state, number, work.make, made, day)
            return head_of(connection), told

        head, told = store.write(write)
        write_anchor(anchors, head)
        return told

    return make_all(work, out, second=second, progress=progress, before_publishing=keep)


def made_of(row: Row[Any]) -> str:
    """What is kept in `published` of a state of the season, as it lies beside the outputs made of it."""
    told = {name: getattr(row, name) for name in ("revision", "version", "day", "program", "made")}
    return json.dumps(told, sort_keys=True) + "\n"


def left_as_they_were(make: frozenset[str], out: Path) -> list[str]:
    """What an earlier run made below `out` and this one did not, by its name there."""
    made = {"tables", "summary.json", MADE_OF}
    made |= {"order"} if make & {ORDER, PAPERS} else set()
    made |= {"messages", "papers"} if PAPERS in make else set()
    made |= {"site"} if SITE in make else set()
    return [name for name in ("site", *PARTS) if name not in made and (out / name).exists()]


def _note(
    connection: Connection,
    actor: Actor,
    state: FleetState,
    number: int | None,
    make: frozenset[str],
    made: Made,
    day: dt.date,
) -> str:
    """Keep what was found and ordered with its list, and what was made of it; says of what."""
    fleet_id = state.fleet_id
    at = connection.execute(select(fleets.c.version, fleets.c.revision).where(fleets.c.id == fleet_id)).one()
    # What was recorded since `state` was read is not in what was made, and so not in the version it is of.
    version = state.version if number is None else at.version
    here = revisions.c.fleet_id == fleet_id, revisions.c.number == at.revision
    if made.found is not None:
        kept = update(revisions).where(*here)
        if number is None:  # what was found for the list is of when it came into force
            kept = kept.where(revisions.c.snapshot.is_(None))
        connection.execute(kept.values(snapshot=packed(snapshot_bytes(made.found))))
    if made.ordered is not None:
        connection.execute(update(revisions).where(*here).values(ordered=packed(made.ordered)))
    connection.execute(delete(published).where(published.c.fleet_id == fleet_id))
    kept_now = insert(published).values(
        fleet_id=fleet_id, revision=at.revision, version=version, day=day.isoformat(), program=PROGRAM,
        made=json.dumps(sorted(make)), order_files=json.dumps(dict(made.order_files)), published_at=now(),
    )  # fmt: skip
    row = connection.execute(kept_now.returning(*published.c)).one()
    after = {"made": sorted(make), "order_files": dict(made.order_files)}
    record(connection, actor, PUBLISHED, fleet_id, str(at.revision), after=after)
    return made_of(row)


def _refuse_overtaken(connection: Connection, state: FleetState) -> None:
    at = connection.execute(select(fleets.c.revision).where(fleets.c.id == state.fleet_id)).scalar_one()
    of = published.c.fleet_id == state.fleet_id
    standing = connection.execute(select(published.c.version).where(of)).scalar()
    mine = state.in_force.number if state.in_force else None
    if at != mine or number_in_force(connection) != state.rules or (standing or 0) > state.version:
        raise MovedOn


def _made(found: Snapshot | None, order: Path) -> Made:
    files = sorted(path for path in order.rglob("*") if path.is_file()) if order.is_dir() else []
    hashes = {path.name: hashlib.sha256(path.read_bytes()).hexdigest() for path in files}
    ordered = (order / ORDER_JSON).read_bytes() if ORDER_JSON in hashes else None
    return Made(found, hashes, ordered)


def _patterns(
    result: MusterResult, rules: RallyRules, second: SecondProcess
) -> Callable[[], Mapping[str, bytes]]:
    """Begin the cone patterns, which the boats' pages offer, whoever buys her parts."""
    order = result.order
    all_boats = replace(order, pieces=(*order.pieces, *order.would_be.pieces))
    jobs = cloth_jobs(all_boats, rules.policy, rules.catalogue)
    told = pattern_told(rules.policy, result.today)
    return second.hand("api.paper_work", "pattern_files", jobs, rules.policy.order.tapes_per_cone, told)


def _waited_for(papers: Callable[[], None], stage: Path) -> Callable[[], Path]:
    """The folder of the papers, once they are whole."""

    def folder() -> Path:
        papers()
        return stage / "papers"

    return folder


def _write_for_people(
    result: MusterResult, policy: Policy, stage: Path, pages: Mapping[str, str], private: Collection[int]
) -> None:
    """Write what is to be done by whom, a message to each skipper, and where each is reached.

    Where the private pages are, is for the officer alone as well.
    """
    actions = chase_actions(result, policy)
    (stage / "tables" / "chase.csv").write_bytes(chase_csv(actions, result.today))
    (stage / "messages").mkdir(mode=0o700)  # contact details stand in them: for the officer alone
    (stage / "messages" / "calls.csv").write_bytes(calls_csv(calls_of(result, actions), result))
    if private:
        told = _private_pages(result, pages, private)
        (stage / "messages" / "private-pages.csv").write_bytes(told)
    write_messages(messages_for(result, policy, actions, pages.__getitem__), stage / "messages")
    write_files(stage / "messages", call_list_files(result, policy))


def _private_pages(result: MusterResult, pages: Mapping[str, str], private: Collection[int]) -> bytes:
    """The addresses of the private pages, for the officer alone."""
    text = result.intake.fleet.text
    names = [[str(text[name][row] or "") for name in ("entry_no", "boat_name")] for row in sorted(private)]
    rows = [[plain_text(entry), plain_text(name), pages[entry]] for entry, name in names]
    return csv_bytes([("entry_no", "boat_name", "page"), *rows])
