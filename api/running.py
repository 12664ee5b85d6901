"""The run command: read, size, strike, judge, order, write, and say what came of it."""

from __future__ import annotations

import shutil
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from rich.text import Text

from api.console import output, print_changes, print_summary, progress_bars
from api.entry_sheets import report_intake
from api.exit_codes import DONE, SOME_REJECTED
from api.output_folder import claimed, settle, staged
from api.waivers_of_rejected_rows import without_waivers_of_rejected_rows
from sitegen import build_site
from sitegen.addresses import page_addresses
from sizing.catalogue import Catalogue
from sizing.chase import chase_actions, chase_csv, messages_for, write_messages
from sizing.drogue.strike_fleet import StrikePlan
from sizing.errors import InputError
from sizing.intake import read_fleet, write_rejects
from sizing.model import IntakeResult, MusterResult
from sizing.order import (
    ClubStock,
    known_items,
    load_bought,
    load_previous,
    load_remnants,
    write_order,
)
from sizing.order.loft import patterns_of, write_loft
from sizing.policy_words import doubts
from sizing.progress import Progress, silent
from sizing.revision import (
    ChangeReport,
    Snapshot,
    change_report_text,
    changes_csv,
    compare,
    officer_key,
    read_key,
    read_snapshot,
    refuse_many_withdrawn,
    snapshot_of,
    write_snapshot,
)
from sizing.story import RallyRules, load_rules, muster_intake
from sizing.tables import summary, write_summary, write_tables

SNAPSHOT, KEY = "snapshot.json", "officer.key"


@dataclass(frozen=True)
class RunRequest:
    """What a run is asked for on the command line."""

    fleet: Path
    policy: Path | None
    prices: Path | None
    out: Path
    catalogue: Path | None
    today: date
    samples: int
    scheduler: str | None
    previous: Path | None
    shelf: Path | None
    bought: Path | None
    base_url: str
    withdraw: bool = False


def run_fleet(request: RunRequest) -> int:
    """The whole run: intake, sizing, audit, order, site; returns the exit code."""
    rules = load_rules(request.policy, request.prices, request.catalogue)
    before = read_snapshot(snapshot_in(request.previous)) if request.previous else None
    stock = stock_of(request, rules.catalogue)
    with progress_bars() as progress:
        intake = read_fleet(request.fleet, request.fleet.name, today=request.today, progress=progress)
    for doubt in doubts(rules.policy, request.today):
        output().print(Text(f"note: {doubt}"))
    report_intake(intake)
    if not len(intake.fleet):
        raise InputError(
            request.fleet.name, f"none of its {intake.rows_in} rows could be taken",
            "at least one row that can be read", "mend the rows named above in the file, then run again",
        )  # fmt: skip
    if not request.withdraw:
        ask_about_withdrawals(request, intake, before)
    rules, waiting = without_waivers_of_rejected_rows(rules, intake)
    for note in waiting:
        output().print(Text(f"note: {note}"))
    with claimed(request.out), progress_bars() as progress:
        strikes = StrikePlan(request.samples, True, request.scheduler)
        result = muster_intake(
            intake, rules, today=request.today, strikes=strikes, stock=stock, progress=progress
        )
        if request.previous:
            keep_key(request.previous, request.out)
        changes = write_outputs(result, rules, request.out, before, request.base_url, progress)
    console = output()
    print_summary(console, summary(result))
    if changes is not None:
        print_changes(console, changes)
    console.print(f"site:   {request.out / 'site' / 'index.html'}")
    console.print(f"order:  {request.out / 'order' / 'order.xlsx'}")
    console.print(f"tables: {request.out / 'tables'}")
    return SOME_REJECTED if intake.rejected else DONE


def ask_about_withdrawals(request: RunRequest, intake: IntakeResult, before: Snapshot | None) -> None:
    """Stop a list that leaves out much of an earlier run's fleet: it may be a part of the list.

    That run is the one of --previous, and the one whose output is to be replaced.
    """
    found = {snapshot_in(request.previous): before} if request.previous and before else {}
    replaced = request.out / SNAPSHOT
    if replaced.exists() and not any(path.samefile(replaced) for path in found):
        try:
            found[replaced] = read_snapshot(replaced)
        except InputError as problem:
            raise InputError(
                str(replaced), problem.found, "what the run before found, to see whether boats are left out",
                "choose another --out; or add --withdraw if the list is whole",
            ) from problem  # fmt: skip
    for path, snapshot in found.items():
        key = read_key(path.parent / KEY) if (path.parent / KEY).is_file() else b""
        refuse_many_withdrawn(snapshot, intake, key, request.fleet.name, f"the run in {path.parent}")


def stock_of(request: RunRequest, catalogue: Catalogue) -> ClubStock | None:
    """What the club has already: rope on the shelf, and what was bought or cut from an earlier order."""
    known = known_items(catalogue)
    shelf = load_remnants(request.shelf, known) if request.shelf else None
    if request.bought is None:
        return shelf
    if request.previous is None or not request.previous.is_dir():
        raise InputError(
            "--bought", "there is no earlier order to set it against",
            "--previous with the output folder of the run that was ordered from", "add --previous DIR",
        )  # fmt: skip
    earlier = load_previous(request.previous / "order" / "order.json")
    bought = load_bought(request.bought, earlier, known)
    return bought.with_lengths(shelf.lengths_mm) if shelf else bought


def snapshot_in(previous: Path) -> Path:
    """The snapshot of an earlier run: the file itself, or the one in its output folder."""
    return previous / SNAPSHOT if previous.is_dir() else previous


def write_outputs(
    result: MusterResult,
    rules: RallyRules,
    out: Path,
    before: Snapshot | None = None,
    base_url: str = "",
    progress: Progress = silent,
) -> ChangeReport | None:
    """Write everything below `out`; the old parts stay until all the new ones are whole.

    With the snapshot of an earlier run, what changed since is written too, and returned. `base_url` is
    where the site will be on the web: bag labels and messages point there.
    """
    policy, catalogue = rules.policy, rules.catalogue
    with staged(out) as stage:
        tables, order, messages = (stage / name for name in ("tables", "order", "messages"))
        for folder in (tables, order, messages):
            folder.mkdir()
        write_tables(result, catalogue, tables)
        write_rejects(result.intake, tables / "rejects.csv")
        actions = chase_actions(result, policy)
        (tables / "chase.csv").write_bytes(chase_csv(actions, result.today))
        entries = [str(entry) for entry in result.intake.fleet.text["entry_no"]]
        pages = page_addresses(entries, base_url or "site")
        write_messages(messages_for(result, policy, actions, pages.__getitem__), messages)
        write_order(result, policy, catalogue, rules.prices, order)
        (order / "loft").mkdir()
        page_of_row = (lambda row: pages[entries[row]]) if base_url else None
        write_loft(result, policy, catalogue, order / "loft", page_of_row)
        snapshot = snapshot_of(result, policy, catalogue, key=officer_key(out / KEY), previous=before)
        write_snapshot(snapshot, stage / SNAPSHOT)
        changes = None
        if before is not None:
            changes = compare(before, snapshot)
            (tables / "changes.csv").write_bytes(changes_csv(changes))
            (tables / "changes.txt").write_text(change_report_text(changes), encoding="utf-8")
        write_summary(result, stage / "summary.json")
        settle(stage)  # so that the new site stands beside old tables for no longer than renaming takes
        build_site(
            result, policy, catalogue, out / "site",
            base_url=base_url, changes=changes, downloads=_patterns(order / "loft"), progress=progress,
        )  # fmt: skip
    return changes


def _patterns(loft: Path) -> dict[str, bytes]:
    """The cone patterns, for the boats' pages."""
    return patterns_of({path.name: path.read_bytes() for path in loft.iterdir()})


def keep_key(previous: Path, out: Path) -> None:
    """Take the earlier run's key along, so that changes of contact details can be told from run to run."""
    if (previous / KEY).is_file() and not (out / KEY).exists():
        out.mkdir(parents=True, exist_ok=True)
        shutil.copy2(previous / KEY, out / KEY)
