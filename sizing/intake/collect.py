"""What was found out about rows while reading: problems that reject a row, and remarks that do not."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np

from sizing.intake.table import RawTable, column_letter
from sizing.model import BoolArray, IntArray, Remark, RemarkKind, RowError
from sizing.units import clip


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
