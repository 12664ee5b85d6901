"""The run command: read, size, strike, judge, order, write, and say what came of it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from pathlib import Path

from api.console import output, print_summary, progress_bars
from api.entry_sheets import report_intake
from api.exit_codes import DONE, SOME_REJECTED
from api.staging import staged
from sitegen import build_site
from sizing.drogue.strike_fleet import StrikePlan
from sizing.errors import InputError
from sizing.intake import read_fleet, write_rejects
from sizing.model import MusterResult
from sizing.muster import RallyRules, load_rules, muster_intake
from sizing.order import write_order
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
