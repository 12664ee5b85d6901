"""A small table of the purchase: prices, shelf, what was bought. Where each cell stood, for messages."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path
from typing import TypeVar

from sizing.delimited import read_delimited
from sizing.errors import CatalogueError, InputError
from sizing.order.amounts import parse_count, parse_size
from sizing.units import clip

MOST_BYTES = 20_000_000
MOST_PROBLEMS_SHOWN = 12
T = TypeVar("T")


@dataclass(frozen=True)
class Columns:
    """The columns of a file called `name`: the header of each as it stood, and the unit in it, if any."""

    name: str
    headers: Mapping[str, str]
    units: Mapping[str, str]


@dataclass(frozen=True)
class TableRow:
    """One row: the line it began on, and its cells by column name, blanks as ""."""

    line_no: int
    cells: Mapping[str, str]
    columns: Columns

    def cell(self, column: str) -> str:
        """The cell of a column, "" where the file has no such column."""
        return self.cells.get(column, "")

    def place(self, column: str) -> str:
        """Where a cell stands, in words."""
        header = self.columns.headers.get(column, column)
        return f"{self.columns.name}, line {self.line_no}, column “{header}”"

    def wrong(self, column: str, found: str, expected: str, mend: str) -> CatalogueError:
        """Return the refusal of a cell."""
        return CatalogueError(self.place(column), found, expected, mend)

    def size(self, column: str, unit: str) -> Decimal:
        """Return an amount in an item's unit; see `parse_size`."""
        header = self.columns.units.get(column, "")
        return parse_size(self.cell(column), unit, header, self.cell("unit"), self.place(column))

    def count(self, column: str, blank: int = 0) -> int:
        """Return a whole number, `blank` where nothing is written."""
        text = self.cell(column)
        return parse_count(text, self.place(column), 0) if text else blank


@dataclass(frozen=True)
class Table:
    """The rows of a file, and notes on it as a whole: rows above the header, an old encoding."""

    columns: Columns
    rows: tuple[TableRow, ...]
    notes: tuple[str, ...]

    def each(self, read: Callable[[TableRow], T]) -> list[T]:
        """Return what `read` makes of every row; one CatalogueError for all rows that it refuses."""
        made, problems = [], []
        for row in self.rows:
            try:
                made.append(read(row))
            except CatalogueError as problem:
                problems.append(problem)
        if problems:
            raise refuse(self.columns.name, problems)
        return made


def read_bytes(path: Path) -> bytes:
    """Read a table file; CatalogueError if it cannot be read or is far too large."""
    try:
        size = path.stat().st_size
        data = path.read_bytes() if size <= MOST_BYTES else b""
    except OSError as problem:
        raise CatalogueError(
            path.name, f"it cannot be read ({problem.strerror})", "a readable CSV file",
            "check the path and the permissions of the file",
        ) from problem  # fmt: skip
    if size > MOST_BYTES:
        raise CatalogueError(
            path.name, f"it is {size:,} bytes long", f"at most {MOST_BYTES:,} bytes", "give the right file"
        )
    return data


def read_table(
    data: bytes,
    name: str,
    required: Sequence[str],
    optional: Sequence[str],
    aliases: Mapping[str, str],
    *,
    feet_twins: bool = False,
) -> Table:
    """Read CSV bytes into rows by canonical column name; unknown columns are left out.

    A header may carry a unit: `pack_size_m`, `Pack size (m)`. `aliases` maps other spellings of a header
    to the canonical one. With `feet_twins` a column in feet that stands after the same column without a unit,
    as in our own tables, repeats it and is not read. Raises CatalogueError for text that is no table or
    lacks a required column.
    """
    known = (*required, *optional)

    def name_of(cell: str) -> str | None:
        word, _ = _header_word(cell, known, aliases)
        return word if word in known else None

    try:
        table = read_delimited(data, name, name_of)
    except InputError as problem:
        raise CatalogueError(problem.where, problem.found, problem.expected, problem.mend) from None
    columns = _columns(table.header, name, known, aliases, feet_twins=feet_twins)
    missing = [column for column in required if column not in columns]
    if missing:
        raise CatalogueError(
            f"{name}, header row", f"there is no column {' or '.join(missing)}",
            f"columns {', '.join(known)}", "add the column, with this name, to the header row",
        )  # fmt: skip
    width = len(table.header)
    rows = zip(table.line_no.tolist(), table.frame.iter_rows(), strict=True)
    own = Columns(
        name,
        {column: table.header[at].strip() for column, (at, _) in columns.items()},
        {column: unit for column, (_, unit) in columns.items() if unit},
    )
    return Table(
        own,
        tuple(
            TableRow(line_no, _cells(name, line_no, table.ragged.get(place, cells), columns, width), own)
            for place, (line_no, cells) in enumerate(rows)
        ),
        tuple(f"{name}: {note}" for note in table.notes),
    )


def _columns(
    header: Sequence[str], name: str, known: Sequence[str], aliases: Mapping[str, str], *, feet_twins: bool
) -> dict[str, tuple[int, str]]:
    columns: dict[str, tuple[int, str]] = {}
    for at, cell in enumerate(header):
        word, unit = _header_word(cell, known, aliases)
        if word not in known:
            continue
        if word in columns and feet_twins and unit == "ft" and not columns[word][1]:
            continue
        if word in columns:
            raise CatalogueError(
                f"{name}, header row", f"two columns are called “{clip(cell)}”", "each column once",
                "rename or remove one of them",
            )  # fmt: skip
        columns[word] = (at, unit)
    return columns


def _header_word(cell: str, known: Sequence[str], aliases: Mapping[str, str]) -> tuple[str, str]:
    """Return the canonical column a header names, and the unit in it."""
    bare, _, rest = cell.partition("(")
    unit = rest.rpartition(")")[0].strip()
    word = "_".join(bare.replace("_", " ").replace("-", " ").split()).lower()
    word = aliases.get(word, word)
    if word in known:
        return word, unit
    head, _, tail = word.rpartition("_")
    head = aliases.get(head, head)
    return (head, tail) if head in known else (word, unit)


def _cells(
    name: str, line_no: int, cells: Sequence[str], columns: Mapping[str, tuple[int, str]], width: int
) -> dict[str, str]:
    if any(cell.strip() for cell in cells[width:]):
        raise CatalogueError(
            f"{name}, line {line_no}", f"it has {len(cells)} cells", f"{width}, as in the header row",
            "put cells that contain the separating sign into double quotes",
        )  # fmt: skip
    return {column: cells[at].strip() if at < len(cells) else "" for column, (at, _) in columns.items()}


def refuse(name: str, problems: Sequence[CatalogueError]) -> CatalogueError:
    """Return one error for all problems of a table, so that they can be put right in one go."""
    if len(problems) == 1:
        return problems[0]
    shown = problems[:MOST_PROBLEMS_SHOWN]
    rest = len(problems) - len(shown)
    found = "; ".join(f"({n}) {p.where}: {p.found}, expected {p.expected}" for n, p in enumerate(shown, 1))
    more = f"; and {rest} more" if rest else ""
    return CatalogueError(name, f"{len(problems)} cells cannot be used: {found}{more}",
                          "every cell as its column asks", "correct these cells and run again")  # fmt: skip
