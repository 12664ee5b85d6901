"""The check and template commands: entry sheets before any boat is sized. Each returns the exit code."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Final, Literal

from rich.text import Text

from api.console import MOST_CHECKED_SHOWN, MOST_REJECTS_SHOWN, output, print_rows, print_sentences
from api.exit_codes import DONE, SOME_REJECTED
from api.output_folder import refusal
from sizing.catalogue import load_catalogue
from sizing.errors import OutputError
from sizing.intake import (
    grouped,
    profile_beside,
    read_fleet,
    read_profile,
    sheet_to_send_back,
    write_template,
)
from sizing.model import IntakeResult
from sizing.order import known_items, price_template
from sizing.policy_file import policy_template
from sizing.units import clip
from sizing.writing import write_files


def check_fleet(fleet: Path, today: date, send_back: Path | None = None) -> int:
    """Read a fleet file and say what is wrong with it; returns the exit code."""
    beside = profile_beside(fleet)
    profile = read_profile(beside.read_bytes(), beside.name) if beside.is_file() else None
    intake = read_fleet(fleet, fleet.name, today=today, profile=profile)
    report_intake(intake, 0, "")
    print_groups(intake)
    if send_back is not None and intake.rejected:
        write_files(send_back.parent, {send_back.name: sheet_to_send_back(intake)})
        output().print(Text(f"to send back: {send_back}, the rejected rows with what is wrong coloured"))
    doubts = doubts_of(intake)
    if doubts:
        output().print("taken, but worth a look:")
        print_sentences(output(), doubts, MOST_CHECKED_SHOWN, "; run shows each on the boat's page")
    return SOME_REJECTED if intake.rejected else DONE


def doubts_of(intake: IntakeResult) -> list[str]:
    """What looks unusual in the accepted rows, a sentence each, in the order of the file."""
    fleet = intake.fleet
    found = [
        (int(row), remark.sentence_of(int(row)))
        for remark in fleet.remarks
        if remark.kind == "warning"
        for row in remark.rows
    ]
    entries = fleet.text["entry_no"]
    return [
        f"row {fleet.row_no[row]} (line {fleet.line_no[row]}), entry {clip(entries[row])}: {sentence}"
        for row, sentence in sorted(found, key=lambda one: one[0])
    ]


def report_intake(
    intake: IntakeResult, most: int = MOST_REJECTS_SHOWN, rest: str = ", all in rejects.csv"
) -> None:
    """Print the notes on the file, the sum of its rows, and the first rejected rows."""
    console = output()
    for note in intake.file_notes:
        console.print(Text(f"note: {note}"))
    counts = {"in": intake.rows_in, "accepted": len(intake.fleet), "rejected": len(intake.rejected)}
    print_rows(console, counts)
    sentences = [error.sentence for row in intake.rejected for error in row.errors]
    if most:
        print_sentences(console, sentences, most, rest)


def print_groups(intake: IntakeResult) -> None:
    """Print what is wrong by kind, with the boats of each kind; what boats are sized by comes first."""
    left = MOST_CHECKED_SHOWN
    for group in grouped(intake):
        output().print(Text(f"  {group.heading}"))
        shown = group.boats[: max(left, 0)]
        for boat, error in shown:
            output().print(Text(f"    {boat}, line {error.line_no}: {error.found}"))
        if len(shown) < len(group.boats):
            rest = len(group.boats) - len(shown)
            output().print(f"    and {rest} more; run writes them all to tables/rejects.csv")
        left -= len(shown)


USUAL_NAMES: Final = {"entries": "entries.xlsx", "policy": "rally.toml", "prices": "prices.csv"}


def make_template(
    target: Path | None, what: Literal["entries", "policy", "prices"], catalogue: Path | None = None
) -> int:
    """Write a blank entry sheet, price book, or policy that explains every key; returns the exit code."""
    path = target or Path(USUAL_NAMES[what])
    prices = price_template(known_items(load_catalogue(catalogue))) if what == "prices" else b""
    if path.exists():
        raise OutputError(
            str(path), "there is already a file of this name", "a new file name",
            "give another name, or move the old file away",
        )  # fmt: skip
    try:
        if what == "policy":
            path.write_text(policy_template(), encoding="utf-8")
        elif what == "prices":
            path.write_bytes(prices)
        else:
            write_template(path)
    except OSError as problem:
        raise refusal(path.parent, problem) from problem
    output().print(f"written: {path}")
    if what == "prices":
        output().print(
            "Fill in pack_price and currency where you have a price; correct pack sizes; repeat a row for "
            "another supplier or size. Rows without a price may stay."
        )
    return DONE
