"""The command line: run, check, template, serve.

Exit codes: 0 done and all rows accepted; 3 done, some rows rejected; 2 nothing could be done, and why.
"""

from __future__ import annotations

import sys
import tempfile
import traceback
from datetime import date, datetime
from pathlib import Path
from typing import Annotated

import typer
from rich.text import Text

from api.console import (
    errors,
    output,
    print_refusal,
    print_rejected,
    print_rows,
    print_summary,
    progress_bars,
)
from api.staging import refusal, staged
from sitegen import build_site
from sizing.drogue.strike_fleet import StrikePlan
from sizing.errors import MusterError
from sizing.intake import read_fleet, write_rejects, write_template
from sizing.model import IntakeResult, MusterResult
from sizing.muster import RallyRules, load_rules, muster
from sizing.order import write_order
from sizing.policy_file import policy_template
from sizing.progress import Progress
from sizing.tables import summary, write_summary, write_tables

DONE, NOTHING_DONE, SOME_REJECTED, STOPPED = 0, 2, 3, 130

EXIT_CODES = "Exit codes: 0 all rows accepted; 3 done, some rows rejected; 2 nothing could be done, and why."

app = typer.Typer(
    name="drogue-muster",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode="markdown",
    help="Size, check and order series drogues for every boat of a rally.\n\n"
    "Start with **template** to get a blank entry sheet, **check** to see what a filled sheet says, and "
    "**run** to get the site, the order and the tables.\n\n" + EXIT_CODES,
)


def _power_of_two(samples: int) -> int:
    if samples & (samples - 1):
        raise typer.BadParameter("give 0 or a power of two, such as 64, 128 or 256")
    return samples


FleetFile = Annotated[
    Path, typer.Argument(metavar="FLEET", help="The fleet as CSV (comma, semicolon or tab) or XLSX.")
]
PolicyFile = Annotated[
    Path | None, typer.Option("--policy", metavar="RALLY.toml", help="The rally's own rules.")
]
PriceFile = Annotated[
    Path | None, typer.Option("--prices", metavar="PRICES.csv", help="Price book; without it no sums.")
]
OutFolder = Annotated[Path, typer.Option("--out", metavar="DIR", help="Where the results go.")]
CatalogueFolder = Annotated[
    Path | None,
    typer.Option(
        "--catalogue", metavar="DIR", help="Own tables of ropes, shackles ... in place of the built-in."
    ),
]
Today = Annotated[
    datetime | None,
    typer.Option("--today", formats=["%Y-%m-%d"], help="Judge dates as of this day, not today."),
]

Samples = Annotated[
    int,
    typer.Option(
        "--samples",
        metavar="N",
        min=0,
        max=4096,
        callback=_power_of_two,
        help="Wave strikes a boat over the spread of what is not known; a power of two, 0 for none.",
    ),
]
Scheduler = Annotated[
    str | None,
    typer.Option(
        "--scheduler",
        metavar="ADDRESS",
        envvar="DROGUE_MUSTER_SCHEDULER",
        help="Address of a dask scheduler that shares out the wave strikes of a very large fleet.",
    ),
]


def _day(today: datetime | None) -> date:
    return today.date() if today else date.today()


@app.command()
def run(
    fleet: FleetFile,
    policy: PolicyFile = None,
    prices: PriceFile = None,
    out: OutFolder = Path("out"),
    catalogue: CatalogueFolder = None,
    today: Today = None,
    samples: Samples = 256,
    scheduler: Scheduler = None,
) -> None:
    """Size every boat, judge her gear, order what is missing, and build the site.

    Makes DIR/site (open index.html), DIR/order (order.xlsx and CSV), DIR/tables (sizing, findings, rejects)
    and DIR/summary.json. The previous results stay until the new ones are whole.

    Example: drogue-muster run fleet.csv --policy rally.toml --prices prices.csv --out out
    """
    rules = load_rules(policy, prices, catalogue)
    with progress_bars() as progress:
        strikes = StrikePlan(samples, True, scheduler)
        result = muster(fleet, rules, today=_day(today), strikes=strikes, progress=progress)
        write_outputs(result, rules, out, progress)
    console = output()
    counts = summary(result)
    _report_intake(result.intake)
    print_summary(console, counts)
    console.print(f"site:   {out / 'site' / 'index.html'}")
    console.print(f"order:  {out / 'order' / 'order.xlsx'}")
    console.print(f"tables: {out / 'tables'}")
    raise typer.Exit(SOME_REJECTED if result.intake.rejected else DONE)


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


@app.command()
def check(fleet: FleetFile, today: Today = None) -> None:
    """Say what is wrong with a fleet file, row by row, without sizing anything.

    Example: drogue-muster check fleet.csv
    """
    intake = read_fleet(fleet, fleet.name, today=_day(today))
    _report_intake(intake)
    raise typer.Exit(SOME_REJECTED if intake.rejected else DONE)


def _report_intake(intake: IntakeResult) -> None:
    console = output()
    for note in intake.file_notes:
        console.print(Text(f"note: {note}"))
    counts = {"in": intake.rows_in, "accepted": len(intake.fleet), "rejected": len(intake.rejected)}
    print_rows(console, counts)
    print_rejected(console, [error.sentence for row in intake.rejected for error in row.errors])


@app.command()
def template(
    target: Annotated[
        Path | None, typer.Argument(metavar="FILE", help="Where to write: a name ending in .csv or .xlsx.")
    ] = None,
    policy: Annotated[bool, typer.Option("--policy", help="A policy file with every key explained.")] = False,
) -> None:
    """Write a blank entry sheet with guidance, or a policy file that explains every key.

    Examples: drogue-muster template entries.xlsx; drogue-muster template --policy rally.toml
    """
    path = target or Path("rally.toml" if policy else "entries.xlsx")
    if path.exists():
        raise MusterError(
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


def main() -> None:
    """Run the command line; every failure ends in a sentence and an exit code, never in a traceback."""
    try:
        app()
    except MusterError as problem:
        print_refusal(problem)
        sys.exit(NOTHING_DONE)
    except KeyboardInterrupt:
        errors().print("stopped; the previous output is untouched")
        sys.exit(STOPPED)
    except MemoryError:
        errors().print("this machine ran out of memory; the previous output is untouched")
        sys.exit(NOTHING_DONE)
    except Exception as problem:
        kept = _keep_details()
        errors().print(
            Text(
                f"The program met something it does not foresee ({type(problem).__name__}). Nothing was "
                f"changed. The details are in {kept}; please send that file to the maintainers."
            )
        )
        sys.exit(NOTHING_DONE)


def _keep_details() -> Path:
    with tempfile.NamedTemporaryFile(
        "w", prefix="drogue-muster-", suffix=".txt", delete=False, encoding="utf-8"
    ) as handle:
        traceback.print_exc(file=handle)
    return Path(handle.name)
