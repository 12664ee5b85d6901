"""The command line: run, check, intake, template, rollback, and the commands of the server.

Only what is needed to show help is imported here; the engine comes in with the command that uses it, since
it takes a second or more and a reader of --help should not wait for it.
"""

from __future__ import annotations

import re
import sys
import tempfile
import traceback
from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import Annotated
from urllib.parse import urlsplit

import typer
from rich.text import Text

import sizing
from api.console import errors, prepare_streams, print_refusal
from api.exit_codes import EXPLAINED, NOTHING_DONE, STOPPED
from api.money_commands import add_money_commands
from api.parts import ORDER, PAPERS, SITE, parts_named
from api.quote_commands import add_quote_command
from api.season_commands import add_season_commands
from api.season_options import Database, FleetName, OutFolder
from api.second_process import SecondProcess
from api.serving_commands import add_commands
from api.skipper_commands import add_skipper_commands
from sizing.errors import MusterError
from sizing.samples import STRIKE_SAMPLES

WORTH_A_PROCESS_BYTES = 8_000
"""A shorter fleet is written sooner than a second process has begun."""

COMPILING = ("sizing.drogue.strike.compiled", "compile_all")

app = typer.Typer(
    name="drogue-muster",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode="markdown",
    help="Size, check and order series drogues for every boat of a rally.\n\n"
    "Start with **template** to get a blank entry sheet, **check** to see what a filled sheet says, and "
    "**run** to get the site, the order and the tables.\n\n" + EXPLAINED,
)


def _power_of_two(samples: int | None) -> int | None:
    if samples and samples & (samples - 1):
        raise typer.BadParameter("give 0 or a power of two, such as 64, 128 or 256")
    return samples


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text.strip())
    except ValueError:
        raise typer.BadParameter(f"“{text}” is no day; write year-month-day, such as 2026-11-25") from None


def _web_address(text: str | None) -> str | None:
    if text is None:
        return None
    expected = "write it as https://rally.example/drogues, with nothing after a ? or #"
    try:
        parts = urlsplit(text.strip())
        fits = parts.scheme in {"http", "https"} and bool(parts.hostname) and parts.port != 0
    except ValueError:
        fits = False
    if not text or (fits and re.fullmatch(r"[!$%&'()*+,./0-9:;=A-Z_a-z~-]+", text.strip())):
        return text.strip()
    raise typer.BadParameter(f"“{text}” is no web address of a folder; {expected}")


def _parts(words: Sequence[str]) -> frozenset[str]:
    try:
        return parts_named(words)
    except ValueError as problem:
        raise typer.BadParameter(str(problem), param_hint="--make") from None


def _worth_a_process(fleet: Path, wanted: frozenset[str]) -> bool:
    """Whether tables and papers are written beside a site, and long enough for a process of their own."""
    beside = SITE in wanted and bool(wanted & {ORDER, PAPERS})
    return beside and fleet.is_file() and fleet.stat().st_size >= WORTH_A_PROCESS_BYTES


def _compiled_before() -> bool:
    """Whether an earlier run left its compiled code here; if it is out of date, it is made when needed."""
    return any(Path(sizing.__path__[0], "drogue", "strike", "__pycache__").glob("kernel.march_many-*.nbi"))


FleetFile = Annotated[
    Path, typer.Argument(metavar="FLEET", help="The fleet as CSV (comma, semicolon or tab) or XLSX.")
]
PolicyFile = Annotated[
    Path | None, typer.Option("--policy", metavar="RALLY.toml", help="The rally's own rules.")
]
PriceFile = Annotated[
    Path | None, typer.Option("--prices", metavar="PRICES.csv", help="Price book; without it no sums.")
]
CatalogueFolder = Annotated[
    Path | None,
    typer.Option("--catalogue", metavar="DIR", help="Own tables of ropes, shackles and the like."),
]
PagesFolder = Annotated[
    str | None,
    typer.Option(
        "--pages",
        metavar="DIR",
        help='The rally\'s own pages: Markdown (notices, rules) and pictures. Kept for later runs; "" takes '
        "them away.",
    ),
]
Today = Annotated[
    date | None,
    typer.Option("--today", metavar="YYYY-MM-DD", parser=_day, help="Judge dates as of this day, not today."),
]
Samples = Annotated[
    int | None,
    typer.Option(
        "--samples",
        metavar="N",
        min=0,
        max=4096,
        callback=_power_of_two,
        help="Wave strikes a boat over the spread of what is not known; a power of two, 0 for none. "
        f"Without it as for the list before, {STRIKE_SAMPLES} for the first.",
    ),
]
Scheduler = Annotated[
    str | None,
    typer.Option(
        "--scheduler",
        metavar="ADDRESS",
        envvar="DROGUE_MUSTER_SCHEDULER",
        help="Address of a dask scheduler that shares out the wave strikes of a very large fleet; needs the "
        "installation with [cluster].",
    ),
]
BaseUrl = Annotated[
    str | None,
    typer.Option(
        "--base-url",
        metavar="URL",
        callback=_web_address,
        help="Where the site will be on the web: its pages, the bag labels and the messages name it.",
    ),
]
NewFleet = Annotated[bool, typer.Option("--new-fleet", help="Begin a further fleet, named by --fleet.")]
DryRun = Annotated[bool, typer.Option("--dry-run", help="Say what the list would change, and write nothing.")]
Withdraw = Annotated[
    bool,
    typer.Option("--withdraw", help="The boats that the list leaves out have withdrawn, however many."),
]
Make = Annotated[
    list[str] | None,
    typer.Option(
        "--make",
        metavar="PARTS",
        help="What is made: tables, order, papers, site, or several with commas. All, if not given.",
    ),
]
RunFolder = Annotated[Path, typer.Argument(metavar="DIR", help="The output folder of a run.")]
TargetFile = Annotated[
    Path | None, typer.Argument(metavar="FILE", help="Where to write: a name ending in .csv or .xlsx.")
]
WantPolicy = Annotated[bool, typer.Option("--policy", help="A policy file with every key explained.")]
WantPrices = Annotated[
    bool, typer.Option("--prices", help="A price book of everything that can be ordered, prices blank.")
]


@app.command()
def run(
    fleet: FleetFile,
    policy: PolicyFile = None,
    prices: PriceFile = None,
    out: OutFolder = Path("out"),
    catalogue: CatalogueFolder = None,
    today: Today = None,
    samples: Samples = None,
    scheduler: Scheduler = None,
    base_url: BaseUrl = None,
    withdraw: Withdraw = False,
    make: Make = None,
    database: Database = "",
    name: FleetName = "",
    dry_run: DryRun = False,
    new_fleet: NewFleet = False,
    pages: PagesFolder = None,
    mended: Annotated[
        Path | None,
        typer.Option(
            "--mended",
            metavar="REJECTS.csv",
            help="The mended rows of rejects.csv: they are put back into FLEET, by row and number.",
        ),
    ] = None,
) -> None:
    """Size every boat, judge her gear, order what is missing, and build the site.

    Makes DIR/site (open index.html), DIR/order (order.xlsx and CSV), DIR/tables (sizing, findings, rejects,
    chase), DIR/messages (a text per skipper, for the officer alone) and DIR/summary.json. The previous
    results stay until the new ones are whole. With --make only a part is made, and the rest stays as an
    earlier run made it.

    The first run begins the season, which is kept in DIR/season.sqlite; the next run into the same DIR is the
    next list. Policy, prices and all else that is not given again count as before, and so do deliveries,
    measurements and waivers; what changed is in DIR/tables/changes.txt.

    Example: drogue-muster run fleet.csv --policy rally.toml --prices prices.csv --out out
    """
    wanted = _parts(make or ())
    with SecondProcess(wanted=_worth_a_process(fleet, wanted)) as second:
        compile_there = second.is_there and not _compiled_before()
        compiled = second.hand(*COMPILING) if compile_there else None
        second.hand("api.paper_work", "come_in")
        from api.running import RunRequest, run_fleet

        request = RunRequest(
            fleet, policy, prices, out, catalogue, today or date.today(), samples, scheduler, base_url,
            withdraw, wanted, database, name, dry_run, new_fleet, pages, mended,
        )  # fmt: skip
        code = run_fleet(request, second, compiled)
    raise typer.Exit(code)


@app.command()
def check(
    fleet: FleetFile,
    today: Today = None,
    send_back: Annotated[
        Path | None,
        typer.Option(
            "--send-back",
            metavar="FILE.xlsx",
            help="The rejected rows as a workbook for the club's secretary, wrong cells coloured.",
        ),
    ] = None,
) -> None:
    """Say what is wrong with a fleet file, kind by kind and boat by boat, without sizing anything.

    Examples: drogue-muster check fleet.csv; drogue-muster check fleet.csv --send-back to-mend.xlsx
    """
    from api.entry_sheets import check_fleet

    raise typer.Exit(check_fleet(fleet, today or date.today(), send_back))


@app.command()
def intake(
    sheet: FleetFile,
    accept: Annotated[bool, typer.Option("--accept", help="Keep it as shown, without asking.")] = False,
    use: Annotated[
        list[str] | None,
        typer.Option(
            "--use",
            metavar="HEADER=COLUMN",
            help="What a column is: “Stern=transom_width in m”; “Stern=” for one not used.",
        ),
    ] = None,
    for_all: Annotated[
        list[str] | None,
        typer.Option(
            "--all",
            metavar="COLUMN=WORD",
            help="What holds for all boats: “boat_type=sailing monohull”.",
        ),
    ] = None,
    again: Annotated[bool, typer.Option("--again", help="Leave what was confirmed before aside.")] = False,
    today: Today = None,
) -> None:
    """Show what each column of a club's own sheet is taken for, and keep what you confirm beside the sheet.

    Kept as SHEET.columns.toml: run and check read it from then on, so that next week's export just works. A
    header that was not confirmed is then asked about, and not guessed.

    Examples: drogue-muster intake fleet.xlsx; drogue-muster intake fleet.csv --use "Stern=transom_width in m"
    --accept
    """
    from api.intake_command import intake_sheet

    raise typer.Exit(
        intake_sheet(
            sheet, today or date.today(), accept=accept, uses=use or [], given=for_all or [], again=again
        )
    )


@app.command()
def template(
    target: TargetFile = None,
    policy: WantPolicy = False,
    prices: WantPrices = False,
    catalogue: CatalogueFolder = None,
) -> None:
    """Write a blank entry sheet, a policy file that explains every key, or a price book to fill in.

    --catalogue is for the price book: it lists what can be ordered by these tables.

    Examples: drogue-muster template entries.xlsx; drogue-muster template --policy rally.toml;
    drogue-muster template --prices prices.csv
    """
    if policy and prices:
        raise typer.BadParameter("give one of --policy and --prices; each writes a file of its own")
    if catalogue and not prices:
        raise typer.BadParameter("--catalogue is for a price book; add --prices")
    from api.entry_sheets import make_template

    raise typer.Exit(
        make_template(target, "policy" if policy else "prices" if prices else "entries", catalogue)
    )


@app.command("rollback")
def roll_back(folder: RunFolder = Path("out")) -> None:
    """Put the site published before the present one back in its place; once more goes forward again.

    Order, tables and messages stay as they are.

    Example: drogue-muster rollback out
    """
    from api.site_rollback import put_site_back

    raise typer.Exit(put_site_back(folder))


add_season_commands(app)
add_money_commands(app)
add_skipper_commands(app)
add_quote_command(app)
add_commands(app)


def main() -> None:
    """Run the command line; every failure ends in a sentence and an exit code, never in a traceback."""
    try:
        prepare_streams()
        app()
    except SystemExit as ended:
        if ended.code == STOPPED:  # so does typer end on Ctrl-C
            _say_stopped()
        raise
    except MusterError as problem:
        print_refusal(problem)
        sys.exit(NOTHING_DONE)
    except KeyboardInterrupt:
        _say_stopped()
        sys.exit(STOPPED)
    except OSError as problem:
        named = f" ({problem.filename})" if problem.filename else ""
        errors().print(
            Text(
                f"A file, disk or screen could not be used: {problem.strerror or problem}{named}. "
                "The previous output is untouched. Make room or check permissions, then run again."
            )
        )
        sys.exit(NOTHING_DONE)
    except MemoryError:
        errors().print("this machine ran out of memory; the previous output is untouched")
        sys.exit(NOTHING_DONE)
    except Exception as problem:
        errors().print(
            Text(
                f"The program met something it does not foresee ({type(problem).__name__}). The previous "
                f"output is untouched. The details are in {_keep_details()}; please send that file to the "
                "maintainers."
            )
        )
        sys.exit(NOTHING_DONE)


def _say_stopped() -> None:
    errors().print("stopped; the previous output is untouched")


def _keep_details() -> Path:
    with tempfile.NamedTemporaryFile(
        "w", prefix="drogue-muster-", suffix=".txt", delete=False, encoding="utf-8"
    ) as handle:
        traceback.print_exc(file=handle)
    return Path(handle.name)
