"""What the commands do: read, run, write, and say what came of it. Each returns the exit code."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from pathlib import Path

from rich.text import Text

from api.console import output, print_rejected, print_rows, print_summary, progress_bars
from api.exit_codes import DONE, SOME_REJECTED
from api.staging import refusal, staged
from sitegen import build_site
from sizing.drogue.strike_fleet import StrikePlan
from sizing.errors import InputError, OutputError
from sizing.intake import read_fleet, write_rejects, write_template
from sizing.model import IntakeResult, MusterResult
from sizing.muster import RallyRules, load_rules, muster_intake
from sizing.order import write_order
from sizing.policy_file import policy_template
from sizing.progress import Progress
from sizing.tables import summary, write_summary, write_tables


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


def run_fleet(request: RunRequest) -> int:
    """The whole run: intake, sizing, audit, order, site; returns the exit code."""
    rules = load_rules(request.policy, request.prices, request.catalogue)
    with progress_bars() as progress:
        intake = read_fleet(request.fleet, request.fleet.name, today=request.today, progress=progress)
    report_intake(intake)
    if not len(intake.fleet):
        raise InputError(
            request.fleet.name, f"none of its {intake.rows_in} rows could be taken",
            "at least one row that can be read", "mend the rows named above in the file, then run again",
        )  # fmt: skip
    with progress_bars() as progress:
        strikes = StrikePlan(request.samples, True, request.scheduler)
        result = muster_intake(intake, rules, today=request.today, strikes=strikes, progress=progress)
        write_outputs(result, rules, request.out, progress)
    console = output()
    print_summary(console, summary(result))
    console.print(f"site:   {request.out / 'site' / 'index.html'}")
    console.print(f"order:  {request.out / 'order' / 'order.xlsx'}")
    console.print(f"tables: {request.out / 'tables'}")
    return SOME_REJECTED if intake.rejected else DONE


def write_outputs(result: MusterResult, rules: RallyRules, out: Path, progress: Progress) -> None:
    """Write tables, order and site below `out`; the old ones stay until all the new ones are whole."""
    with staged(out) as stage:
        (stage / "tables").mkdir()
        write_tables(result, rules.catalogue, stage / "tables")
        write_rejects(result.intake, stage / "tables" / "rejects.csv")
        (stage / "order").mkdir()
        write_order(result, rules.policy, rules.catalogue, rules.prices, stage / "order")
        write_summary(result, stage / "summary.json")
        build_site(result, rules.policy, rules.catalogue, out / "site", progress=progress)


def check_fleet(fleet: Path, today: date) -> int:
    """Read a fleet file and say what is wrong with it; returns the exit code."""
    intake = read_fleet(fleet, fleet.name, today=today)
    report_intake(intake)
    return SOME_REJECTED if intake.rejected else DONE


def report_intake(intake: IntakeResult) -> None:
    """Print the notes on the file, the sum of its rows, and the first rejected rows."""
    console = output()
    for note in intake.file_notes:
        console.print(Text(f"note: {note}"))
    counts = {"in": intake.rows_in, "accepted": len(intake.fleet), "rejected": len(intake.rejected)}
    print_rows(console, counts)
    print_rejected(console, [error.sentence for row in intake.rejected for error in row.errors])


def make_template(target: Path | None, policy: bool) -> int:
    """Write a blank entry sheet or a policy file that explains every key; returns the exit code."""
    path = target or Path("rally.toml" if policy else "entries.xlsx")
    if path.exists():
        raise OutputError(
            str(path), "there is already a file of this name", "a new file name",
            "give another name, or move the old file away",
        )  # fmt: skip
    try:
        if policy:
            path.write_text(policy_template(), encoding="utf-8")
        else:
            write_template(path)
    except OSError as problem:
        raise refusal(path.parent, problem) from problem
    output().print(f"written: {path}")
    return DONE
