"""Boats as entered, rows that could not be taken, and what was made of each cell."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from itertools import repeat
from typing import TYPE_CHECKING, Literal

import numpy as np

from sizing.field_kinds import Field
from sizing.fields import CHOICES, FIELDS
from sizing.model.arrays import BoolArray, CodeArray, FloatArray, IntArray
from sizing.units import DecimalSign

if TYPE_CHECKING:
    import polars as pl

RemarkKind = Literal["interpretation", "warning"]


@dataclass(frozen=True)
class RowError:
    """One thing wrong with one row: where, what was found, what is expected, how to mend it."""

    row_no: int
    line_no: int
    column: str
    column_letter: str
    code: str
    found: str
    expected: str
    mend: str

    @property
    def sentence(self) -> str:
        """The whole message as one line."""
        where = f"row {self.row_no} (line {self.line_no})"
        if self.column:
            where += f", column {self.column_letter} “{self.column}”"
        return f"{where}: {self.found}. Expected: {self.expected}. To mend it: {self.mend}."


@dataclass(frozen=True)
class RejectedRow:
    """A row that could not be taken, whole, with everything that is wrong with it."""

    row_no: int
    line_no: int
    cells: tuple[str, ...]
    errors: tuple[RowError, ...]


@dataclass(frozen=True)
class Remark:
    """One interpretation or warning, over all rows it concerns.

    `rows` indexes accepted boats. `sentences` has one text for all rows, or one for each.
    """

    kind: RemarkKind
    code: str
    column: str
    rows: IntArray
    sentences: tuple[str, ...]

    def sentence_of(self, row: int) -> str | None:
        """The text for accepted boat `row`, or None if the remark is not about her."""
        place = int(np.searchsorted(self.rows, row))
        if place == len(self.rows) or self.rows[place] != row:
            return None
        return self.sentences[0] if len(self.sentences) == 1 else self.sentences[place]


@dataclass(frozen=True)
class Entry:
    """One boat, as far as a reader is told of her cell by cell. SI units; None where the sheet says nothing.

    `as_written` are her cells as they stood, by column, those alone that may be published; `answered` are the
    columns in which her sheet says something. Every other figure of hers is asked of the columns:
    `FleetColumns.value`, `choice_words`.
    """

    row: int
    row_no: int
    entry_no: str
    boat_name: str
    sail_no: str
    berth: str
    boat_type: str
    design: str
    loa_m: float
    lwl_m: float | None
    beam_m: float | None
    transom_width_m: float | None
    displacement_kg: float
    displacement_basis: str | None
    as_written: Mapping[str, str]
    remarks: tuple[str, ...]
    warnings: tuple[str, ...]
    answered: frozenset[str] = frozenset()


@dataclass(frozen=True)
class FleetColumns:
    """Accepted boats as columns, in the order of the file.

    number:
        SI name -> float array, NaN where blank: every name of `Field.numbers`. A date is a proleptic ordinal,
        a yes/no is 1, 0 or NaN; section diameters are in `section_diameters_m` below.
    choice:
        name -> int8 code into `fields.CHOICES[name]`, -1 where blank.
    text:
        one row a boat: text columns cleaned (blank is ""), as a polars frame.
    as_written:
        the accepted rows exactly as they stood, canonical names for known columns.
    extra_columns:
        headers that are not ours, kept in `as_written` and reported.
    section_diameters_m:
        (n, 3) NaN-padded.
    unread:
        column -> boats whose cell there holds something that could not be read, (n,); no other column has a
        name in it. To all else such a cell is blank, and yet what a blank stands for is not said by it.
    weight_asked:
        boats whose displacement is asked about, (n,): nothing is sized by it. None where none is.
    """

    row_no: IntArray
    line_no: IntArray
    number: Mapping[str, FloatArray]
    choice: Mapping[str, CodeArray]
    text: pl.DataFrame
    as_written: pl.DataFrame
    section_diameters_m: FloatArray
    remarks: tuple[Remark, ...] = ()
    extra_columns: tuple[str, ...] = ()
    unread: Mapping[str, BoolArray] = field(default_factory=dict)
    weight_asked: BoolArray | None = None

    def __len__(self) -> int:
        return len(self.row_no)

    def unread_text(self, name: str, row: int) -> str:
        """What stands in column `name` of boat `row` and could not be read; "" where nothing does."""
        mask = self.unread.get(name)
        return "" if mask is None or not mask[row] else str(self.as_written[name][row] or "").strip()

    def choice_words(self, name: str, row: int) -> str | None:
        """The chosen word of column `name` for boat `row`, None where blank."""
        code = int(self.choice[name][row])
        return None if code < 0 else CHOICES[name][code]

    def chosen(self, name: str, *words: str) -> BoolArray:
        """Boats whose sheet says one of `words` in choice column `name`; (n,)."""
        codes = self.choice[name]
        found = np.zeros(len(self), dtype=np.bool_)
        for word in words:
            found |= codes == CHOICES[name].index(word)
        return found

    def value(self, si_name: str, row: int) -> float | None:
        """The SI value of `si_name` for boat `row`, None where blank."""
        value = float(self.number[si_name][row])
        return None if np.isnan(value) else value

    def remarks_of(self, row: int, kind: RemarkKind) -> tuple[str, ...]:
        """All interpretations or warnings about boat `row`, in order."""
        return tuple(self._sentences.get((kind, row), ()))

    @cached_property
    def _sentences(self) -> Mapping[tuple[RemarkKind, int], list[str]]:
        """What every boat is told; gathered once: a large fleet has many remarks about few rows."""
        told: dict[tuple[RemarkKind, int], list[str]] = {}
        for remark in self.remarks:
            each = repeat(*remark.sentences) if len(remark.sentences) == 1 else remark.sentences
            for row, sentence in zip(remark.rows.tolist(), each, strict=False):
                told.setdefault((remark.kind, row), []).append(sentence)
        return told

    def answers(self, field: Field, row: int) -> bool:
        """Whether the sheet of boat `row` says something in a column; “unknown” and “n/a” say nothing."""
        if field.kind == "text":
            return bool(self.text[field.name][row])
        if field.kind == "choice":
            return self.choice_words(field.name, row) not in {None, "unknown"}
        if field.kind == "quantities":
            return not np.isnan(self.section_diameters_m[row]).all()
        return any(self.value(name, row) is not None for name in field.numbers)

    def entry(self, row: int) -> Entry:
        """Boat `row` as a single object."""
        text = self.text.row(row, named=True)
        written = self.as_written.row(row, named=True)
        return Entry(
            row=row,
            row_no=int(self.row_no[row]),
            entry_no=text["entry_no"],
            boat_name=text["boat_name"],
            sail_no=text["sail_no"],
            berth=text["berth"],
            boat_type=CHOICES["boat_type"][int(self.choice["boat_type"][row])],
            design=text["design"],
            loa_m=float(self.number["loa_m"][row]),
            lwl_m=self.value("lwl_m", row),
            beam_m=self.value("beam_m", row),
            transom_width_m=self.value("transom_width_m", row),
            displacement_kg=float(self.number["displacement_kg"][row]),
            displacement_basis=self.choice_words("displacement_basis", row),
            as_written={f.name: written[f.name] for f in FIELDS if f.published and written.get(f.name)},
            remarks=self.remarks_of(row, "interpretation"),
            warnings=self.remarks_of(row, "warning"),
            answered=frozenset(field.name for field in FIELDS if self.answers(field, row)),
        )


@dataclass(frozen=True)
class HeaderUnit:
    """The unit a header gives for bare figures, as it is looked up; `wll` marks a working load limit."""

    word: str
    wll: bool = False


@dataclass(frozen=True)
class Notation:
    """How the figures of a sheet are written, so that one of its boats can be read again as she was.

    `decimal` is the sign of the whole sheet, None where its cells do not tell.
    """

    units: Mapping[str, HeaderUnit] = field(default_factory=dict)
    decimal: DecimalSign | None = None


@dataclass(frozen=True)
class IntakeResult:
    """What became of every row of a fleet file.

    `header` is the file's own header row, `columns` the entry sheet's own name of each of its columns, "" for
    one that is not used; `rejected` rows have as many cells. `file_notes` are said once for
    the whole file (encoding, delimiter, unknown columns, blank lines and totals rows left out).
    rows_in == len(fleet) + len(rejected), always.
    """

    header: tuple[str, ...]
    rows_in: int
    fleet: FleetColumns
    rejected: tuple[RejectedRow, ...]
    file_notes: tuple[str, ...]
    sha256: str
    notation: Notation = field(default_factory=Notation)
    columns: tuple[str, ...] = ()
