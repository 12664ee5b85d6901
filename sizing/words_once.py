"""Columns of words in which each text is made and kept once, with the place of each row's own."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

import numpy as np
import pandas as pd

from sizing.audit.sentences import in_voice, names_in, sentence_of
from sizing.fields import FIELD_BY_NAME
from sizing.model import Check, CheckColumns, FleetColumns, IntArray, Said


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
    """The place of what each boat has to do: made once for all boats that are told the same."""
    rows = slice(boats.start, boats.stop)
    places = np.full(len(boats), words.places([""])[0])
    told = _told(result, rows)
    alike = (result.standing, *(mask for mask, _ in result.advice))
    kind, first = kinds([column[told] for column in alike], len(told))
    places[told - boats.start] = words.places(result.advice_of(int(row)) for row in told[first])[kind]
    return places


def sentence_places(result: CheckColumns, fleet: FleetColumns, boats: range, words: WordColumn) -> IntArray:
    """The place of what is so of each boat that has something to do: made once for all that are alike."""
    rows = slice(boats.start, boats.stop)
    places = np.full(len(boats), words.places([""])[0])
    told = _told(result, rows)
    if result.said is None or not len(told):
        return places
    hers = _of_the_entry(result.said, result.check, fleet)
    alike: list[np.ndarray[Any, Any]] = [result.said.which, result.standing, *hers]
    for column in (result.required, result.found, *((result.advised.limit,) if result.advised else ())):
        alike.append(np.asarray(column, np.float64).view(np.int64))
    kind, first = kinds([column[told] for column in alike], len(told))
    sentences = (in_voice(sentence_of(result, fleet, int(row)), "her") for row in told[first])
    places[told - boats.start] = words.places(sentences)[kind]
    return places


def _told(result: CheckColumns, rows: slice) -> IntArray:
    """Boats among `rows` that have something to do about a check."""
    return np.asarray(np.flatnonzero(result.is_open[rows] | result.below_advised[rows]) + rows.start)


def _of_the_entry(said: Said, check: Check, fleet: FleetColumns) -> list[np.ndarray[Any, Any]]:
    """The columns of the entry from which words of the sentences come."""
    names = {name for text in said.texts for name in names_in(text)}
    years = {"made_year", *check.columns} if "age" in names else set()
    fields = [FIELD_BY_NAME[name] for name in sorted(names | years) if name in FIELD_BY_NAME]
    choices = [fleet.choice[field.name] for field in fields if field.kind == "choice"]
    return choices + [fleet.number[column] for field in fields for column in field.numbers]
