"""What is found out about rows while reading: problems that reject a row, remarks that do not, and values.

Each distinct cell of a column is read once, and what is said of it is said of all rows that hold it.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final, Generic, NamedTuple, TypeVar

import numpy as np
import polars as pl

from sizing.errors import QuantityError
from sizing.model import BoolArray, IntArray, Remark, RemarkKind, RowError
from sizing.raw_table import NO_RESULT, RawTable, column_letter
from sizing.units import clip

Value = TypeVar("Value")
_LONGEST: Final = 200
_DAMAGE: Final = re.compile(r"#(?:REF!|VALUE!|DIV/0!|NAME\?|N/A|NUM!|NULL!|SPILL!|CALC!|GETTING_DATA)|#{2,}")


class Fault(NamedTuple):
    """What is wrong with a cell, wherever the cell stands."""

    code: str
    found: str
    expected: str
    mend: str


class Note(NamedTuple):
    """What was taken for granted in reading a cell."""

    code: str
    sentence: str


@dataclass
class Collected:
    """Problems and remarks by row of the raw table; `column` is the place of a column, -1 for none."""

    faults: dict[int, list[tuple[int, Fault]]] = field(default_factory=dict)
    _remarks: list[tuple[RemarkKind, str, str, IntArray, Sequence[str]]] = field(default_factory=list)

    def fault(self, row: int, column: int, fault: Fault) -> None:
        """Record one problem of one row."""
        self.faults.setdefault(row, []).append((column, fault))

    def fault_words(self, codes: IntArray, column: int, faults: Mapping[int, Fault]) -> None:
        """Record problems of distinct words for every row that holds one of them."""
        if faults:
            for row in rows_with(codes, faults):
                self.fault(int(row), column, faults[int(codes[row])])

    def remark(
        self, kind: RemarkKind, code: str, column: str, rows: IntArray, sentences: Sequence[str]
    ) -> None:
        """Record a remark over ascending rows, with one sentence for all or one for each."""
        if len(rows):
            self._remarks.append((kind, code, column, rows, sentences))

    def note_words(self, codes: IntArray, column: str, notes: Mapping[int, Sequence[Note]]) -> None:
        """Record interpretations of distinct words for every row that holds one of them."""
        by_code: dict[str, dict[int, str]] = {}
        for word, said in notes.items():
            for note in said:
                held = by_code.setdefault(note.code, {})
                held[word] = f"{held[word]}; {note.sentence}" if word in held else note.sentence
        for code, sentences in by_code.items():
            rows = rows_with(codes, sentences)
            if len(set(sentences.values())) == 1:
                self.remark("interpretation", code, column, rows, [next(iter(sentences.values()))])
            else:
                self.remark("interpretation", code, column, rows, [sentences[int(codes[r])] for r in rows])

    def only(self, row: int, code: str) -> None:
        """Keep only the problems of one kind of a row whose other problems follow from it."""
        self.faults[row] = [pair for pair in self.faults[row] if pair[1].code == code]

    def rejected(self, rows: int) -> BoolArray:
        """Return which rows have at least one problem."""
        bad = np.zeros(rows, dtype=np.bool_)
        bad[list(self.faults)] = True
        return bad

    def row_errors(self, row: int, table: RawTable) -> tuple[RowError, ...]:
        """Return the problems of one row in the order of its columns."""
        row_no, line_no = int(table.row_no[row]), int(table.line_no[row])
        errors = []
        for column, fault in sorted(self.faults[row], key=lambda pair: pair[0]):
            name = clip(table.header[column].strip()) if column >= 0 else ""
            letter = column_letter(column) if column >= 0 else ""
            errors.append(RowError(row_no, line_no, name, letter, *fault))
        return tuple(errors)

    def remarks(self, accepted: BoolArray) -> tuple[Remark, ...]:
        """Return the remarks about accepted rows, their rows counted among the accepted alone.

        Each sentence begins with the name of its column.
        """
        place = np.cumsum(accepted) - 1
        kept = []
        for kind, code, column, rows, all_sentences in self._remarks:
            sentences = list(all_sentences)
            stays = accepted[rows]
            if not stays.any():
                continue
            if len(sentences) > 1:
                sentences = [sentence for sentence, stay in zip(sentences, stays, strict=True) if stay]
            named = {
                sentence: sentence if not column or sentence.startswith(column) else f"{column}: {sentence}"
                for sentence in set(sentences)
            }
            said = tuple(named[sentence] for sentence in sentences)
            kept.append(Remark(kind, code, column, place[rows[stays]].astype(np.int64), said))
        return tuple(kept)


def rows_with(codes: IntArray, wanted: Mapping[int, object]) -> IntArray:
    """Return the ascending rows whose code is among the keys of `wanted`."""
    table = np.zeros(int(codes.max(initial=-1)) + 1, dtype=np.bool_)
    table[list(wanted)] = True
    return np.flatnonzero(table[codes])


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


def check_damage(text: str) -> None:
    """Raise QuantityError for what a spreadsheet left in a cell: an error value, a formula without result."""
    if text.startswith(NO_RESULT):
        found = f"the cell holds a formula and no result ({clip(text.removeprefix(NO_RESULT).strip())})"
        raise QuantityError("no_result", "cell", found, "a figure or words, or a formula with its result",
                            "open the workbook in a spreadsheet program and save it again")  # fmt: skip
    if _DAMAGE.fullmatch(text):
        found = f"“{clip(text)}” is an error that the spreadsheet program left in the cell"
        raise QuantityError("cell_error", "cell", found, "what the cell was meant to hold",
                            "correct the formula or the column width, and save the sheet again")  # fmt: skip


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

    A cell of nothing but spaces is `blank`; `reader` gets the others stripped, if they are whole, and raises
    QuantityError.
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
                check_damage(text)
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
