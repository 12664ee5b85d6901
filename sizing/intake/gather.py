"""Records gathered into a table, however many cells each has."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

import numpy as np
import polars as pl

from sizing.errors import InputError
from sizing.intake.table import Limits, RawTable
from sizing.units import clip

_CHUNK_ROWS: Final = 20_000


def check_size(rows: int, columns: int, filename: str, limits: Limits) -> None:
    """Raise InputError for a table with too many rows or columns."""
    if columns > limits.max_columns:
        found, expected = f"the header has {columns:,} columns", f"at most {limits.max_columns:,}"
    elif rows > limits.max_rows:
        found, expected = f"the table has more than {limits.max_rows:,} rows", f"at most {limits.max_rows:,}"
    else:
        return
    raise InputError(filename, found, expected, "delete what does not belong to the fleet sheet")


def title_notes(titles: Sequence[Sequence[str]]) -> list[str]:
    """Return a note on the rows above the header, if there are any."""
    if not titles:
        return []
    said = "; ".join(
        f"“{clip(' '.join(row).strip())}”" for row in titles if any(cell.strip() for cell in row)
    )
    rows = "row" if len(titles) == 1 else "rows"
    return [f"{len(titles)} {rows} above the header left out" + (f": {said}." if said else " (blank).")]


def gather(
    read: Iterator[tuple[int, int, list[str]]],
    header: Sequence[str],
    delimiter: str,
    filename: str,
    limits: Limits,
    notes: Sequence[str],
) -> RawTable:
    """Return a table of read of any length; blank ones are left out and counted."""
    width = len(header)
    schema = {str(place): pl.String for place in range(width)}
    frames = [pl.DataFrame(schema=schema)]
    chunk: list[list[str]] = []
    numbers: list[int] = []
    lines: list[int] = []
    ragged: dict[int, tuple[str, ...]] = {}
    blank = 0
    for row_no, line, cells in read:
        if not any(cell.strip() for cell in cells):
            blank += 1
            continue
        check_size(len(numbers) + 1, width, filename, limits)
        if len(cells) < width or any(cell.strip() for cell in cells[width:]):
            ragged[len(numbers)] = tuple(cells)
        numbers.append(row_no)
        lines.append(line)
        chunk.append((cells + [""] * width)[:width])
        if len(chunk) == _CHUNK_ROWS:
            frames.append(pl.DataFrame(chunk, schema=schema, orient="row"))
            chunk = []
    if chunk:
        frames.append(pl.DataFrame(chunk, schema=schema, orient="row"))
    said = [f"{blank} blank row{'s' if blank > 1 else ''} left out."] if blank else []
    return RawTable(tuple(header), pl.concat(frames, rechunk=True), np.array(numbers, dtype=np.int64),
                    np.array(lines, dtype=np.int64), ragged, delimiter, (*notes, *said))  # fmt: skip
