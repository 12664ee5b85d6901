"""The run command: takes in a list, and says what came of it. What it does to the season: `api.season`."""

from __future__ import annotations

import datetime as dt
import hashlib
import secrets
from collections.abc import Callable
from contextlib import ExitStack
from dataclasses import dataclass, replace
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Final

from rich.text import Text
from sqlalchemy import Connection

from api.console import output, print_changes, print_summary, progress_bars
from api.entry_sheets import report_intake
from api.exit_codes import DONE, SOME_REJECTED
from api.judging.run import FleetRun
from api.output_folder import claimed
from api.parts import ALL, ORDER, PAPERS, SITE
from api.season.fleets import fleet_named, make_fleet, refuse_another
from api.season.lists import FleetState, KeptList, MovedOn, put_in_force, ready_answers, state_of
from api.season.open_season import open_existing, open_season
from api.season.publishing import Work, left_as_they_were, publish
from api.season.receiving import CSV, XLSX, HandedIn, receive_list
from api.season.rules import (
    WORDS,
    Kind,
    SeasonRules,
    columns_of,
    files_of,
    keep_rules,
    number_in_force,
    pages_of,
    rules_of,
)
from api.season.serving import ask_for_answers
from api.season.working import Basis, basis_now, work_on
from api.second_process import SecondProcess
from api.settings import Settings
from api.storage.store import Store
from api.trail.chain import Actor
from sitegen.addresses import page_addresses
from sitegen.articles import Articles, notes_on, private_boat_notes, private_notes, read_articles
from sitegen.hidden_boats import HiddenBoats
from sitegen.verify import words_sought
from sizing.entry_key import entry_key
from sizing.errors import InputError, OutputError
from sizing.intake import DEFAULT_LIMITS, Profile, content_of, merge_mended, read_fleet
from sizing.model import IntakeResult, MusterResult
from sizing.policy import Policy
from sizing.policy_words import doubts
from sizing.redaction import private_values
from sizing.revision import ChangeReport, change_report_text, compare, refuse_many_withdrawn
from sizing.story import RallyRules
from sizing.summary import summary
from sizing.writing import write_files

OFFICER: Final = Actor("officer at the command line", "officer")
MOST_ROUNDS: Final = 5


@dataclass(frozen=True)
class RunRequest:
    """What a run is asked for on the command line; what is left out stays as the season has it."""

    fleet: Path
    policy: Path | None
    prices: Path | None
    out: Path
    catalogue: Path | None
    today: dt.date
    samples: int | None = None
    scheduler: str | None = None
    base_url: str | None = None
    withdraw: bool = False
    make: frozenset[str] = ALL
    database: str = ""
    name: str = ""
    dry_run: bool = False
    new_fleet: bool = False
    pages: str | None = None
    mended: Path | None = None

    @property
    def settings(self) -> Settings:
        """Where the season is."""
        return Settings(self.out, self.database, today=self.today)


def run_fleet(
    request: RunRequest, second: SecondProcess | None = None, compiled: Callable[[], None] | None = None
) -> int:
    """Take in a list: read, judge with all that counts, make what follows, keep it; returns the exit code.

    `second` is a process that writes one half of the output while this one makes the other, if there is one;
    `compiled` waits until it has made the code of the strikes, where no run before has.
    """
    given = files_of(request.policy, request.prices, request.catalogue)
    given += pages_of(Path(request.pages)) if request.pages else ()
    given += columns_of(request.fleet)
    with ExitStack() as stack:
        if request.mended is not None:
            request = with_mended(request, request.mended, stack)
        store = stack.enter_context(open_existing(request.settings))
        before, at, state = before_run(store, request)
        wanted = wanted_rules(before.with_files(given, taken_away(request)), request)
        say_what_counts(before, wanted, state)
        rules = wanted.load()
        with progress_bars() as progress:
            intake = read_fleet(
                request.fleet,
                request.fleet.name,
                today=request.today,
                profile=wanted.profile,
                progress=progress,
            )
        for doubt in doubts(rules.policy, request.today):
            output().print(Text(f"note: {doubt}"))
        report_intake(intake)
        if not len(intake.fleet):
            raise InputError(
                request.fleet.name, f"none of its {intake.rows_in} rows could be taken",
                "at least one row that can be read", "mend the rows named above in the file, then run again",
            )  # fmt: skip
        say_about_pages(read_articles(wanted.pages), intake, rules.policy)
        if not request.withdraw:
            ask_about_withdrawals(request, intake, state, before.profile)
        taking = Taking(request, intake, wanted, at, rules, second or SecondProcess(wanted=False))
        if request.dry_run:
            if compiled:
                compiled()
            taking.try_out(store)
        else:
            stack.enter_context(claimed(request.out))
            if compiled:
                compiled()
            store = store or stack.enter_context(open_season(request.settings))
            taking.take_in(store)
    return SOME_REJECTED if intake.rejected else DONE


def with_mended(request: RunRequest, mended: Path, stack: ExitStack) -> RunRequest:
    """The same run of the whole list with its mended rows, kept beside the sheet; a dry run keeps nothing."""
    sheet = request.fleet
    whole = sheet.with_name(f"{sheet.stem.removesuffix('-mended')}-mended.csv")
    if whole != sheet and whole.exists():
        raise InputError(
            "--mended", f"{whole.name} stands beside {sheet.name}, with what was mended before",
            f"{whole.name} as the sheet", f"run {whole.name} --mended {mended.name}, or move it away",
        )  # fmt: skip
    sheets = (content_of(one, one.name, DEFAULT_LIMITS) for one in (sheet, mended))
    merged = merge_mended(next(sheets), sheet.name, next(sheets), mended.name)
    for note in merged.notes:
        output().print(Text(f"note: {note}"))
    if request.dry_run:
        whole = Path(stack.enter_context(TemporaryDirectory(prefix="drogue-muster-"))) / whole.name
    else:
        output().print(Text(f"note: the whole list is {whole}; run that from now on."))
    write_files(whole.parent, {whole.name: merged.content})
    return replace(request, fleet=whole)


def taken_away(request: RunRequest) -> tuple[Kind, ...]:
    """What counted for the list before and shall count no more."""
    return ("pages",) if request.pages == "" else ()


def wanted_rules(rules: SeasonRules, request: RunRequest) -> SeasonRules:
    """The rules with what is asked for now."""
    if request.samples is not None:
        rules = replace(rules, samples=request.samples)
    return rules if request.base_url is None else replace(rules, base_url=request.base_url)


def before_run(store: Store | None, request: RunRequest) -> tuple[SeasonRules, int, FleetState | None]:
    """The rules in force, their number, and the fleet; without a season the program's own, and none."""
    if store is None:
        return SeasonRules(), 0, None
    with store.read() as connection:
        at = number_in_force(connection)
        fleet_id = fleet_named(connection, request.name)
        if fleet_id is None and not request.new_fleet:
            refuse_another(connection, request.name)
        return rules_of(connection, at), at, state_of(connection, fleet_id) if fleet_id else None


def say_what_counts(before: SeasonRules, wanted: SeasonRules, state: FleetState | None) -> None:
    """Name the files that were given for an earlier list and count for this one too."""
    if state is None or state.in_force is None:
        return
    kept = [one for one in wanted.files if one in before.files]
    names = [
        f"{words} {', '.join(sorted(one.name for one in kept if one.kind == kind))}"
        for kind, words in WORDS.items()
        if kind != "pages" and any(one.kind == kind for one in kept)
    ]
    if pages := sum(one.kind == "pages" for one in kept):
        names.append(f"{WORDS['pages']} ({pages} file{'s' if pages > 1 else ''})")
    if names:
        output().print(Text(f"note: in force since an earlier list: {'; '.join(names)}."))


def say_about_pages(articles: Articles, intake: IntakeResult, policy: Policy) -> None:
    """Print what is to be told of the rally's own pages; InputError where one cannot be taken."""
    fleet = intake.fleet
    entries = [str(entry or "") for entry in fleet.text["entry_no"]]
    boats = {entry_key(entry): address for entry, address in page_addresses(entries, "").items()}
    people = words_sought(value for row in range(len(fleet)) for value in private_values(fleet, row))
    hidden = HiddenBoats(intake, policy)
    private = private_boat_notes(articles, hidden.names, hidden.entries)
    for note in (*notes_on(articles, boats), *private_notes(articles, people), *private):
        output().print(Text(f"note: pages: {note}"))


def ask_about_withdrawals(
    request: RunRequest, intake: IntakeResult, state: FleetState | None, profile: Profile | None
) -> None:
    """Stop a list that leaves out much of the one in force: it may be a part of the list."""
    if state is None or state.in_force is None:
        return
    earlier = state.in_force
    refuse_many_withdrawn(
        read_fleet(earlier.content, earlier.filename, today=request.today, profile=profile), intake,
        secrets.token_bytes(), request.fleet.name,
        f"list {earlier.number} of this season, {earlier.filename}",
        "add --withdraw; for another fleet, choose another --out",
    )  # fmt: skip


@dataclass
class Taking:
    """A list that was read, on its way into the season."""

    request: RunRequest
    intake: IntakeResult
    wanted: SeasonRules
    rules_before: int
    rules: RallyRules
    second: SecondProcess

    def try_out(self, store: Store | None) -> None:
        """Say what the list would change; nothing is written."""
        basis = Basis(self.wanted, self.rules)
        if store is not None:
            with store.read() as connection:
                fleet_id = fleet_named(connection, self.request.name)
                if fleet_id:
                    basis = self._basis(connection, fleet_id, state_of(connection, fleet_id))
        _, work = self._work(basis)
        print_summary(output(), summary(work.result, self.request.make))
        found = work.found()
        if work.before and found:
            output().print(Text(change_report_text(compare(work.before, found))), soft_wrap=True)
        output().print("dry run: nothing was written")

    def take_in(self, store: Store) -> None:
        """Judge the list, make what follows and keep it, beside whatever a server writes meanwhile."""
        fleet_id = self._fleet_in(store)
        for _ in range(MOST_ROUNDS):
            with store.read() as connection:
                state = state_of(connection, fleet_id)
                self._refuse_other_rules(connection)
                basis = self._basis(connection, fleet_id, state)
            run, work = self._work(basis)
            try:
                self._publish(store, state, run, work)
            except MovedOn:
                continue
            return
        raise OutputError(
            f"output folder {self.request.out}", "boats were inspected faster than the list was judged",
            "a minute without a new measurement", "run again in a while; nothing was changed",
        )  # fmt: skip

    def _basis(self, connection: Connection, fleet_id: str, state: FleetState) -> Basis:
        at = state.in_force
        number = at.number if at and self._is_again(at) else None
        return basis_now(connection, fleet_id, self.wanted, self.rules, number)

    def _work(self, basis: Basis) -> tuple[FleetRun, Work]:
        request = self.request
        with progress_bars() as progress:
            run, work = work_on(
                self.intake, basis, request.today, request.make,
                scheduler=request.scheduler, progress=progress,
            )  # fmt: skip
        for note in work.result.intake.file_notes[len(self.intake.file_notes) :]:
            output().print(Text(f"note: {note}"))
        return run, work

    def _publish(self, store: Store, state: FleetState, run: FleetRun, work: Work) -> None:
        request = self.request
        answers = ready_answers(run) if SITE in request.make else None
        handed = self._handed(state)
        told: list[str] = []

        def take_in(connection: Connection) -> int:
            self._refuse_other_rules(connection)
            number = self._number(connection, state, handed)
            rules = keep_rules(connection, OFFICER, self.wanted)
            told[:] = put_in_force(
                connection, OFFICER, state, number, run, answers, rules=rules, day=request.today
            )
            ask_for_answers(connection, OFFICER.name, but=state.fleet_id if answers else "")
            return number

        out = request.out / state.folder
        with progress_bars() as progress:
            changes = publish(
                store, OFFICER, state, work, out, request.settings.anchors,
                day=request.today, second=self.second, take_in=take_in, progress=progress,
            )  # fmt: skip
        for note in told:
            output().print(Text(f"note: {note}"))
        say_what_was_made(request, out, work.result, changes)

    def _refuse_other_rules(self, connection: Connection) -> None:
        """Rules that came into force meanwhile are not taken back in silence by those of before."""
        if number_in_force(connection) != self.rules_before:
            raise OutputError(
                "the season", "policy, prices or catalogue were changed while the list was judged",
                "one who changes them at a time", "run again: nothing was changed",
            )  # fmt: skip

    def _number(self, connection: Connection, state: FleetState, handed: HandedIn | None) -> int:
        if handed is not None:
            return receive_list(connection, OFFICER, state.fleet_id, handed)
        assert state.in_force is not None
        return state.in_force.number

    def _handed(self, state: FleetState) -> HandedIn | None:
        """The list to be kept; None where it is the list in force once more on the same day."""
        if state.in_force and self._is_again(state.in_force):
            return None
        content = self.request.fleet.read_bytes()
        if hashlib.sha256(content).hexdigest() != self.intake.sha256:
            raise InputError(
                self.request.fleet.name, "it was changed while it was read", "a file that nobody is writing",
                "run again once the file is saved",
            )  # fmt: skip
        name = self.request.fleet.name
        kind = XLSX if name.lower().endswith(".xlsx") else CSV
        return HandedIn(name, kind, content, self.request.withdraw).made_ready()

    def _is_again(self, at: KeptList) -> bool:
        return at.sha256 == self.intake.sha256 and at.day == self.request.today.isoformat()

    def _fleet_in(self, store: Store) -> str:
        with store.read() as connection:
            found = fleet_named(connection, self.request.name)
        name = self.request.name or self.rules.policy.rally.name or self.request.fleet.stem
        if found:
            return found
        return store.write(lambda connection: make_fleet(connection, OFFICER, name))


def say_what_was_made(
    request: RunRequest, out: Path, result: MusterResult, changes: ChangeReport | None
) -> None:
    """The counts, where the parts are, and which of an earlier run are still there."""
    console = output()
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
