"""The run command: read, size, strike, judge, order, write, and say what came of it."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from rich.text import Text

from api.console import output, print_changes, print_summary, progress_bars
from api.entry_sheets import report_intake
from api.exit_codes import DONE, SOME_REJECTED
from api.output_folder import claimed
from api.parts import ALL, ORDER, PAPERS, SITE, TABLES
from api.second_process import SecondProcess
from api.writing import KEY, SNAPSHOT, left_as_they_were, write_outputs
from sizing.catalogue import Catalogue
from sizing.drogue.strike_fleet import StrikePlan
from sizing.errors import InputError
from sizing.intake import read_fleet
from sizing.model import IntakeResult, MusterResult
from sizing.order import (
    ClubStock,
    known_items,
    load_bought,
    load_previous,
    load_remnants,
)
from sizing.policy_words import doubts
from sizing.progress import Progress
from sizing.revision import ChangeReport, Snapshot, read_key, read_snapshot, refuse_many_withdrawn
from sizing.story import RallyRules, conclude, judge, load_rules, with_waivers, without_order
from sizing.summary import summary


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
    make: frozenset[str] = ALL


def run_fleet(
    request: RunRequest, second: SecondProcess | None = None, compiled: Callable[[], None] | None = None
) -> int:
    """The whole run: intake, sizing, audit, order, site; returns the exit code.

    `second` is a process that writes one half of the output while this one makes the other, if there is one;
    `compiled` waits until it has made the code of the strikes, where no run before has.
    """
    rules = load_rules(request.policy, request.prices, request.catalogue)
    before = earlier_run(request)
    stock = stock_of(request, rules.catalogue)
    for said in stock.notes if stock else ():
        output().print(Text(f"note: {said}"))
    with progress_bars() as progress:
        intake = read_fleet(request.fleet, request.fleet.name, today=request.today, progress=progress)
    for doubt in doubts(rules.policy, request.today):
        output().print(Text(f"note: {doubt}"))
    rules, intake = with_waivers(rules, intake)
    report_intake(intake)
    if not len(intake.fleet):
        raise InputError(
            request.fleet.name, f"none of its {intake.rows_in} rows could be taken",
            "at least one row that can be read", "mend the rows named above in the file, then run again",
        )  # fmt: skip
    if not request.withdraw:
        ask_about_withdrawals(request, intake, before)
    with claimed(request.out), progress_bars() as progress:
        if compiled:
            compiled()
        result = computed(request, intake, rules, stock, progress)
        if request.previous:
            keep_key(request.previous, request.out)
        changes = write_outputs(
            result, rules, request.out, second=second or SecondProcess(wanted=False), make=request.make,
            before=before, base_url=request.base_url, progress=progress,
        )  # fmt: skip
    for note in result.intake.file_notes[len(intake.file_notes) :]:
        output().print(Text(f"note: {note}"))
    say_what_was_made(request, result, changes)
    return SOME_REJECTED if intake.rejected else DONE


def computed(
    request: RunRequest,
    intake: IntakeResult,
    rules: RallyRules,
    stock: ClubStock | None,
    progress: Progress,
) -> MusterResult:
    """Everything that is to be made, and no more than that takes: tables need no order, and no page shows."""
    pages = SITE in request.make
    strikes = StrikePlan(request.samples, pages, request.scheduler)
    judged = judge(intake.fleet, rules, request.today, strikes, progress)
    if request.make == {TABLES}:
        return without_order(intake, judged, rules, today=request.today)
    return conclude(intake, judged, rules, today=request.today, stock=stock, progress=progress)


def say_what_was_made(request: RunRequest, result: MusterResult, changes: ChangeReport | None) -> None:
    """The counts, where the parts are, and which of an earlier run are still there."""
    console, out = output(), request.out
    print_summary(console, summary(result, request.make))
    if changes is not None:
        print_changes(console, changes)
    for part, place, needed_by in (
        ("site:  ", out / "site" / "index.html", {SITE}),
        ("order: ", out / "order" / "order.xlsx", {ORDER, PAPERS}),
        ("tables:", out / "tables", ALL),
    ):
        if request.make & needed_by:
            console.print(f"{part} {place}")
    left = left_as_they_were(request.make, out)
    if left:
        console.print(f"left as an earlier run made them, not of this run: {', '.join(left)}")


def earlier_run(request: RunRequest) -> Snapshot | None:
    """The snapshot of --previous."""
    if request.previous is None:
        return None
    if request.make == {TABLES}:
        raise InputError(
            "--previous", "only tables are made, and what changed is told of the order too",
            "--make with order, papers or site", "leave --previous out, or make more",
        )  # fmt: skip
    return read_snapshot(snapshot_in(request.previous))


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
        refuse_many_withdrawn(
            snapshot, intake, key, request.fleet.name, f"the run in {path.parent}",
            "add --withdraw; for another fleet, choose another --out",
        )  # fmt: skip


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
    return bought.with_lengths(shelf.lengths_mm.items()) if shelf else bought


def snapshot_in(previous: Path) -> Path:
    """The snapshot of an earlier run: the file itself, or the one in its output folder."""
    return previous / SNAPSHOT if previous.is_dir() else previous


def keep_key(previous: Path, out: Path) -> None:
    """Take the earlier run's key along, so that changes of contact details can be told from run to run."""
    if (previous / KEY).is_file() and not (out / KEY).exists():
        out.mkdir(parents=True, exist_ok=True)
        shutil.copy2(previous / KEY, out / KEY)
