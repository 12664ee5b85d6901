"""The intake command: what the columns of a sheet are taken for, confirmed once and kept beside it."""

from __future__ import annotations

import sys
from datetime import date
from pathlib import Path
from typing import Final

from rich.console import Console
from rich.prompt import Prompt
from rich.table import Table
from rich.text import Text

from api.console import output
from api.exit_codes import DONE, SOME_REJECTED
from sizing.errors import InputError
from sizing.fields import FIELD_BY_NAME
from sizing.intake import (
    DEFAULT_LIMITS,
    Chosen,
    MappedColumn,
    Profile,
    SheetMapping,
    changed,
    check_choice,
    content_of,
    mapping_of,
    profile_beside,
    profile_text,
    read_profile,
)
from sizing.units import clip
from sizing.writing import write_files

_WORDS: Final = {
    "known": "", "confirmed": "confirmed", "slip": "a slip of the pen?", "settled": "by its neighbours",
    "second": "held against another", "left out": "left out", "new": "new", "unknown": "not used",
    "no header": "no header",
}  # fmt: skip


def intake_sheet(
    sheet: Path, today: date, *, accept: bool, uses: list[str], given: list[str], again: bool
) -> int:
    """Show and confirm what the columns of a sheet are; returns the exit code."""
    content = content_of(sheet, sheet.name, DEFAULT_LIMITS)
    beside = profile_beside(sheet)
    kept = read_profile(beside.read_bytes(), beside.name) if beside.is_file() and not again else None
    mapping = mapping_of(content, sheet.name, today=today, profile=kept)
    console = output()
    told = [_use(one) for one in uses]
    profile = _known_only(mapping, told)
    before = kept or Profile()
    profile = Profile(profile.columns, {**before.given, **dict(_given(one) for one in given)})
    if told or given:
        mapping = mapping_of(content, sheet.name, today=today, profile=changed(profile, told))
        profile = changed(profile, told)
    show(console, mapping)
    asked = sys.stdin.isatty() and sys.stdout.isatty() and not accept
    if asked:
        profile = _ask(console, mapping, profile)
        mapping = mapping_of(content, sheet.name, today=today, profile=profile)
        show(console, mapping)
    elif not accept:
        console.print(
            Text("Nothing is kept. To confirm: --accept, with --use “HEADER=COLUMN” for what is otherwise.")
        )
        return SOME_REJECTED if mapping.missing or mapping.waiting else DONE
    if asked and Prompt.ask("Keep it so?", choices=["yes", "no"], default="yes") == "no":
        console.print("Nothing is kept.")
        return DONE
    if mapping.missing:
        raise InputError(
            sheet.name, f"no column is {', '.join(mapping.missing)}", "a column for each of these",
            "say which with --use “HEADER=COLUMN”, or add the column to the sheet",
        )  # fmt: skip
    profile = _known_only(mapping, [], profile)
    read_profile(profile_text(profile, sheet.name, today.isoformat()).encode(), beside.name)
    write_files(beside.parent, {beside.name: profile_text(profile, sheet.name, today.isoformat()).encode()})
    console.print(Text(f"kept: {beside}. run reads it from now on, and the season keeps it."))
    return DONE


def _known_only(mapping: SheetMapping, told: list[Chosen], profile: Profile | None = None) -> Profile:
    """What was read, as it is confirmed; headers that are not used are confirmed as not used."""
    read = mapping.profile()
    if profile is None:
        return read
    return changed(Profile(read.columns, profile.given), [one for one in profile.columns if one.use or told])


def _use(text: str) -> Chosen:
    """Return the choice in “HEADER=COLUMN”, “HEADER=COLUMN in UNIT” or “HEADER=” for a column not used."""
    header, sign, meant = text.rpartition("=")
    if not sign or not header.strip():
        raise InputError("--use", f"“{clip(text)}” has no = between header and column",
                         "“Stern=transom_width in m”, or “Stern=” for none", "correct --use")  # fmt: skip
    use, _, unit = meant.strip().partition(" in ")
    use, _, basis = use.strip().partition(" ")
    one = Chosen(header.strip(), use, unit.strip(), basis.strip())
    check_choice(one, f"--use “{clip(text)}”")
    return one


def _given(text: str) -> tuple[str, str]:
    name, sign, word = (part.strip() for part in text.partition("="))
    profile = f"[given]\n{name} = {word!r}\n" if sign else ""
    if not profile:
        raise InputError("--all", f"“{clip(text)}” has no =", "“boat_type=sailing monohull”", "correct --all")
    read_profile(profile.encode(), "--all")
    return name, word


def show(console: Console, mapping: SheetMapping) -> None:
    """Print the columns, the first boat, and what is doubtful or missing."""
    table = Table(box=None, pad_edge=False, header_style="bold")
    for title in ("", "column of the sheet", "is read as", "unit", "values", ""):
        table.add_column(title, overflow="fold")
    for one in mapping.columns:
        reading = one.reading
        unit = f"{reading.unit.word}{' WLL' if reading.unit.wll else ''}" if reading.unit else ""
        use = f"{reading.use} {reading.basis}".strip() or "-"
        values = "; ".join(clip(value)[:24] for value in one.values)
        letter = reading.where.partition(" ")[0]
        table.add_row(letter, Text(clip(reading.header)), use, unit, Text(values), _WORDS[reading.how])
    console.print(Text(f"{mapping.filename}: {mapping.rows} rows"))
    console.print(table)
    if mapping.boat:
        console.print(Text("The first boat, as read:"), style="bold")
        boat = Table(box=None, pad_edge=False, show_header=False)
        for name, cell, read in mapping.boat:
            boat.add_row("  " + FIELD_BY_NAME[name].label, Text(clip(cell)[:40]), Text(read))
        console.print(boat)
    doubts = [one for one in mapping.columns if one.doubtful]
    if doubts:
        console.print(Text("To be looked at:"), style="bold")
    for one in doubts:
        console.print(Text(f"  {said_of(one)}"))
    if mapping.missing:
        console.print(
            Text(f"No column is {', '.join(mapping.missing)}: no boat is sized without."), style="bold"
        )
    for waits in mapping.waiting:
        console.print(Text(waits), style="bold")


def said_of(one: MappedColumn) -> str:
    """What is doubtful about a column, with its neighbours."""
    reading = one.reading
    beside = " and ".join(f"“{clip(name)}”" for name in (one.left, one.right) if name)
    near = f" It may be meant for {' or '.join(reading.near)}." if reading.near else ""
    what = f"read as {reading.use}" if reading.use else "not used"
    why = f": {reading.why}" if reading.why else ""
    return f"{reading.where}, beside {beside}, is {what}{why}.{near}"


def _ask(console: Console, mapping: SheetMapping, profile: Profile) -> Profile:
    """Go through what is doubtful, one column at a time, then let any other be changed."""
    choices: list[Chosen] = []
    console.print(
        "For each: Enter as it is, a column of the entry sheet (with “in UNIT”), or - for not used."
    )
    for one in (one for one in mapping.columns if one.doubtful and one.reading.header):
        console.print(Text(said_of(one)))
        choices += _answer(console, one.reading.header)
    while header := Prompt.ask("Another column to change (its header; Enter for none)", default=""):
        choices += _answer(console, header)
    return changed(profile, choices)


def _answer(console: Console, header: str) -> list[Chosen]:
    while True:
        said = Prompt.ask(f"  “{clip(header)}” is", default="", console=console).strip()
        if not said:
            return []
        try:
            return [_use(f"{header}={'' if said == '-' else said}")]
        except InputError as problem:
            console.print(Text(f"  {problem.found}. Expected: {problem.expected}."))
