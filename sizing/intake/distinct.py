"""Each distinct cell of a column read once."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Final, Generic, TypeVar

import numpy as np
import polars as pl

from sizing.errors import QuantityError
from sizing.intake.collect import Collected, Fault, Note
from sizing.model import IntArray
from sizing.units import clip

Value = TypeVar("Value")
_LONGEST: Final = 200


@dataclass(frozen=True)
class Words:
    """The distinct cells of a column, and for each row which of them it holds."""

    codes: IntArray
    cells: pl.Series


def words_of(cells: pl.Series) -> Words:
    """Return the distinct cells of a column without nulls, in the order of their first rows."""
    if len(cells) == 1:
        return Words(np.zeros(1, dtype=np.int64), cells)
    return Words(*coded(cells))


def coded(cells: pl.Series) -> tuple[IntArray, pl.Series]:
    """Each cell as the place of its text among the distinct ones, which follow; -1 for a null."""
    distinct = cells.drop_nulls().unique(maintain_order=True)
    codes = cells.cast(pl.Enum(distinct)).to_physical().cast(pl.Int64).fill_null(-1)
    return codes.to_numpy(), distinct


@dataclass(frozen=True)
class Read(Generic[Value]):
    """What a reader made of one cell: its value, and what was taken for granted."""

    value: Value
    notes: tuple[Note, ...] = ()


def _check_length(text: str, name: str) -> None:
    """Raise QuantityError for a cell too long for anything but free text."""
    if len(text) > _LONGEST:
        found = f"the cell has {len(text):,} characters and begins “{clip(text[:40])}”"
        mend = "move what is not an answer to the notes"
        raise QuantityError("too_long", name, found, f"at most {_LONGEST} characters here", mend)


def read_words(
    words: Words,
    blank: Value,
    reader: Callable[[str], Read[Value]],
    column: int,
    name: str,
    collected: Collected,
    *,
    only: Iterable[int] | None = None,
) -> list[Value]:
    """Return the value of each distinct cell; faults and notes go to `collected` for all their rows.

    A cell of nothing but spaces is `blank`; `reader` gets the others stripped and raises QuantityError.
    With `only`, just the distinct cells at those places are read, in that order.
    """
    values: list[Value] = []
    faults: dict[int, Fault] = {}
    notes: dict[int, tuple[Note, ...]] = {}
    places = range(len(words.cells)) if only is None else only
    for code in places:
        text = words.cells[code].strip()
        value = blank
        if text:
            try:
                _check_length(text, name)
                read = reader(text)
            except QuantityError as error:
                faults[code] = Fault(error.code, error.found, error.expected, error.mend)
            else:
                value = read.value
                if read.notes:
                    notes[code] = read.notes
        values.append(value)
    collected.fault_words(words.codes, column, faults)
    if notes:
        collected.note_words(words.codes, name, notes)
    return values
