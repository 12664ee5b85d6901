"""Columns of words in which each text is made and kept once, with the place of each row's own."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import Any

import numpy as np
import pandas as pd

from sizing.audit.findings import remedy_text
from sizing.model import CheckColumns, IntArray, Standing


class WordColumn:
    """The texts of a column under construction, each once."""

    def __init__(self) -> None:
        self._places: dict[str, int] = {}

    def places(self, texts: Iterable[str]) -> IntArray:
        """The place of each text; one that was not there before gets the next."""
        known = self._places
        return np.array([known.setdefault(text, len(known)) for text in texts], dtype=np.int64)

    def column(self, places: IntArray) -> pd.Categorical:
        """The column whose rows have the texts at these places."""
        texts = pd.Index(list(self._places), dtype="str")
        return pd.Categorical.from_codes(places, texts)


def kinds(columns: Sequence[np.ndarray[Any, Any]], rows: int) -> tuple[IntArray, IntArray]:
    """The kind of each row, rows that are alike in all the columns being of one, and a row of each kind.

    >>> kinds([np.array([5, 7, 5, 5]), np.array([1, 1, 1, 2])], 4)
    (array([0, 1, 0, 2]), array([0, 1, 3]))
    """
    kind = np.zeros(rows, dtype=np.int64)
    for column in columns:
        own, texts = pd.factorize(column)
        kind, _ = pd.factorize(kind * len(texts) + own)
    first = np.zeros(int(kind.max(initial=-1)) + 1, dtype=np.int64)
    first[kind[::-1]] = np.arange(rows)[::-1]
    return kind, first


def note_places(result: CheckColumns, boats: range, words: WordColumn) -> IntArray:
    """The place of what else is to be said of each boat."""
    masks = [mask[boats.start : boats.stop] for mask, _ in result.notes]
    kind, first = kinds([mask for mask in masks if mask.any()], len(boats))
    return words.places(result.note_of(boats[row]) for row in first)[kind]


def remedy_places(result: CheckColumns, boats: range, words: WordColumn) -> IntArray:
    """The place of each boat's remedy: made once for all boats that are alike in what it is made from."""
    rows = slice(boats.start, boats.stop)
    places = np.full(len(boats), words.places([""])[0])
    told = np.flatnonzero(result.is_open[rows] | result.below_advised[rows]) + boats.start
    said, one = kinds(
        [column[told] for column in (result.standing, *(m for m, _ in result.advice))], len(told)
    )
    advice = [result.advice_of(int(row)) for row in told[one]]
    limit = () if result.advised is None else (result.advised.limit,)
    figures = [np.asarray(column, np.float64)[told] for column in (result.required, result.found, *limit)]
    kind, first = kinds([said, *(column.view(np.int64) for column in figures)], len(told))
    standings = [Standing(code) for code in result.standing[told[one]].tolist()]
    of_kinds = [
        [None if math.isnan(figure) else figure for figure in column[first].tolist()] for column in figures
    ]
    places[told - boats.start] = words.places(
        remedy_text(result, standings[how], advice[how], *known)
        for how, *known in zip(said[first].tolist(), *of_kinds, strict=True)
    )[kind]
    return places
