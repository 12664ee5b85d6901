"""What is handed out to boats and what comes back, by its tag."""

from __future__ import annotations

from sizing.entry_key import entry_key
from sizing.errors import CatalogueError
from sizing.model.tags import IN_HAND, Tagged
from sizing.order.csv_table import TableRow, read_table, refuse
from sizing.order.items import STEP
from sizing.order.tags import TagBook
from sizing.spreadsheet import from_text
from sizing.units import clip

ALIASES = {"entry_no": "entry", "piece": "tag", "boat": "entry"}


def hand_over(book: TagBook, data: bytes, name: str, *, back: bool) -> None:
    """Write down a list of what was handed out (tag, entry) or, with `back`, of what came back (tag, length).

    An entry left out is that of the boat a piece was cut for; a length left out is all of it. What comes back
    is a loose length; of what came back in part the rest is aboard.

    Raises CatalogueError naming every cell that cannot be so; then nothing of the list counts.
    """
    table = read_table(
        data, name, ("tag",), ("length", "unit", "note") if back else ("entry", "note"), ALIASES
    )
    problems: list[CatalogueError] = []
    for row in table.rows:
        if not any(row.cells.values()):
            continue
        try:
            (_take_back if back else _hand_out)(book, row, _named(book, row))
        except CatalogueError as problem:
            problems.append(problem)
    if problems:
        raise refuse(name, problems)


def _named(book: TagBook, row: TableRow) -> Tagged:
    tag = row.cell("tag").upper()
    found = book.by_tag.get(tag)
    if found is None or not found.single:
        what = f"no length has the tag “{clip(tag)}”" if found is None else f"{tag} is a box"
        raise row.wrong("tag", what, "the tag of a length in stock.csv", "read the tag on it again")
    return found


def _hand_out(book: TagBook, row: TableRow, one: Tagged) -> None:
    entry = from_text(row.cell("entry")) or one.entry_no
    if one.state not in IN_HAND:
        raise row.wrong("tag", f"{one.tag} is {one.state}, and not in hand", "what lies with the club",
                        "read the tag on it again; what came back is recorded first")  # fmt: skip
    if not entry:
        raise row.wrong("entry", f"{one.tag} was cut for no boat, and none is named", "an entry number",
                        "write the boat it went to")  # fmt: skip
    if one.entry_no and entry_key(entry) != entry_key(one.entry_no):
        raise row.wrong("entry", f"{one.tag} was cut for entry {one.entry_no}", f"entry {one.entry_no}",
                        "check tag and boat; a piece that she needs no more goes to another by the next "
                        "order")  # fmt: skip
    book.put(one, "issued", entry, one.purpose)


def _take_back(book: TagBook, row: TableRow, one: Tagged) -> None:
    if one.state not in ("issued", "aboard"):
        raise row.wrong("tag", f"{one.tag} is {one.state}, and not with a boat", "what was handed out",
                        "read the tag on it again")  # fmt: skip
    back_mm = int(row.size("length", "m") / STEP["m"]) if row.cell("length") else one.length_mm
    if back_mm > one.length_mm:
        raise row.wrong("length", f"{back_mm * STEP['m']:f} m of {one.amount:f} m", "no more than she has",
                        "measure it again, or read the tag again")  # fmt: skip
    if back_mm == one.length_mm:
        book.put(one, "offcut")
    else:
        book.cut(one, [(one.entry_no, one.purpose, one.length_mm - back_mm, "aboard")], back_mm)
