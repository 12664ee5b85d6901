"""The check and template commands: entry sheets before any boat is sized. Each returns the exit code."""

from __future__ import annotations

from datetime import date
from pathlib import Path

from rich.text import Text

from api.console import output, print_rejected, print_rows
from api.exit_codes import DONE, SOME_REJECTED
from api.staging import refusal
from sizing.errors import OutputError
from sizing.intake import read_fleet, write_template
from sizing.model import IntakeResult
from sizing.policy_file import policy_template


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
