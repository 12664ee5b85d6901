"""What the command line prints: progress, the counts of a run, and messages a reader can act on."""

from __future__ import annotations

import codecs
import io
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any, Final

from rich.console import Console
from rich.progress import BarColumn, MofNCompleteColumn, TaskID, TextColumn, TimeElapsedColumn
from rich.progress import Progress as Bars
from rich.table import Table
from rich.text import Text

from sizing.errors import MusterError
from sizing.progress import Progress, silent
from sizing.words import level_words, word

if TYPE_CHECKING:  # the engine must not come in with --help
    from sizing.revision import ChangeReport

MOST_REJECTS_SHOWN = 12
MOST_CHECKED_SHOWN = 200
_PLAINER: Final = "drogue-muster-plainer"
_PLAIN_SIGNS: Final = str.maketrans(
    dict.fromkeys("“”„", '"')
    | dict.fromkeys("‘’", "'")
    | dict.fromkeys("–—−", "-")
    | {"…": "...", "×": "x", "½": "1/2", "²": "2", "³": "3", "→": "->", "°": " deg", "\xa0": " "}
)


def prepare_streams() -> None:
    """Make standard output and error take any text, and stand in for one that is closed.

    A sign that the terminal's encoding does not have is written as the nearest plain one, or as its code
    ("\\u6d77"): a message that cannot be shown exactly is still better than none.
    """
    codecs.register_error(_PLAINER, _plainer)
    for name in ("stdout", "stderr"):
        stream = getattr(sys, name)
        if stream is None:
            setattr(sys, name, io.TextIOWrapper(io.BytesIO(), encoding="utf-8"))
        elif isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors=_PLAINER)


def _plainer(problem: UnicodeError) -> tuple[str, int]:
    if not isinstance(problem, UnicodeEncodeError):
        raise problem
    plain = problem.object[problem.start : problem.end].translate(_PLAIN_SIGNS)
    return plain.encode("ascii", "backslashreplace").decode("ascii"), problem.end


def output() -> Console:
    """Console on standard output."""
    return Console(file=sys.stdout, highlight=False, soft_wrap=not sys.stdout.isatty())


def errors() -> Console:
    """Console on standard error."""
    return Console(file=sys.stderr, highlight=False, soft_wrap=True)


@contextmanager
def progress_bars() -> Iterator[Progress]:
    """Bars on standard error while it is a terminal; nothing at all otherwise."""
    if not sys.stderr.isatty():
        yield silent
        return
    columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn(), TimeElapsedColumn())
    with Bars(*columns, console=errors(), transient=True) as bars:
        tasks: dict[str, TaskID] = {}

        def show(what: str, done: int, total: int) -> None:
            if what not in tasks:
                tasks[what] = bars.add_task(what, total=total)
            bars.update(tasks[what], completed=done, total=total)

        yield show


def print_refusal(problem: MusterError) -> None:
    """Say why nothing could be done, in the four parts of the message."""
    console = errors()
    console.print(Text(problem.where, style="bold"), Text(problem.found), sep=": ")
    console.print(Text(f"  expected: {problem.expected}"))
    console.print(Text(f"  to mend:  {problem.mend}"))


def print_rows(console: Console, rows: dict[str, int]) -> None:
    """Rows in = accepted + rejected, as a sum the reader can check."""
    console.print(f"rows in {rows['in']} = accepted {rows['accepted']} + rejected {rows['rejected']}")


def print_sentences(console: Console, sentences: Sequence[str], most: int, rest: str) -> None:
    """The first `most` sentences, each on its line, and how many more there are and where they stand."""
    for sentence in sentences[:most]:
        console.print(Text(f"  {sentence}"))
    if len(sentences) > most:
        console.print(f"  and {len(sentences) - most} more{rest}")


def print_changes(console: Console, changes: ChangeReport) -> None:
    """What changed since the earlier run, in one line; the whole report is in changes.txt."""
    counts = ", ".join(
        f"{len(changes.of_kind(kind))} {kind}"
        for kind in ("entered", "withdrawn", "put right", "now rejected", "amended")
        if changes.of_kind(kind)
    )
    console.print(f"since the earlier run: {counts or 'no boat changed'}; see tables/changes.txt")


def print_summary(console: Console, counts: dict[str, Any]) -> None:
    """Boats, findings by family, the order, and how far the boats have come, in a few lines."""
    boats, required = counts["boats"], level_words("shall", "officer")
    left = word("state", "open", "officer")
    console.print(
        f"boats {boats['computed'] + boats['not_computed']}: "
        f"{boats['no_open_shalls']} with nothing {required} {left}, "
        f"{boats['with_open_shalls']} with something {required} {left}; "
        f"{boats['not_computed']} {word('state', 'not computed', 'officer')}"
    )
    met = counts["met"]
    console.print(
        f"checks of gear {word('standing', 'meets', 'officer')} {met['all']}, "
        f"of which {met['on_word']} rest on a skipper's word alone"
    )
    table = Table(box=None, pad_edge=False, header_style="bold")
    codes = list(counts["standings"])
    table.add_column("checks of")
    for code in codes:
        table.add_column(word("standing", code, "officer"), justify="right")
    for family, standings in counts["families"].items():
        table.add_row(family, *(str(standings[code]) for code in codes))
    table.add_row("all", *(str(counts["standings"][code]) for code in codes), style="bold")
    console.print(table)
    if "order" in counts:
        _print_order(console, counts)
    stages = ", ".join(f"{count} {words}" for words, count in counts["stages"].items())
    console.print(f"boats by stage: {stages}")


HOW_TO_AGREE = (
    "       To order for a boat: gear_supply “rally order” in the list, or drogue-muster supply. To order\n"
    "       for all without asking: ask_first = false in [order] of the policy."
)


def _print_order(console: Console, counts: dict[str, Any]) -> None:
    """Plans and order, a line each."""
    order = counts["order"]
    plans = ", ".join(f"{count} {word('plan', kind, 'officer')}" for kind, count in counts["plans"].items())
    console.print(f"plans: {plans}")
    total = f"{order['currency']} {order['total']}" if order["total"] and order["currency"] else "not priced"
    problems = f"{order['problems']} problem{'' if order['problems'] == 1 else 's'} listed"
    console.print(f"order: {order['lines']} lines, total {total}, {problems}")
    console.print(Text(f"       {order['said']}"))
    for said in order["came_instead"]:
        console.print(Text(f"       {said}"))
    if order["ropes"]:
        console.print(Text(f"       {order['ropes']}"))
    if order["ask_first"] and order["not_ordered"]["not_asked"]:
        console.print(Text(HOW_TO_AGREE))
    if "workshop" in counts:
        console.print(Text(f"workshop: {counts['workshop']['said']}"))
