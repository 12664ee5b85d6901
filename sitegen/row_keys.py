"""A key for each boat from the columns her facts is made of.

Where the key is the same, so is the facts, and with it every byte of her page. The columns are read here
instead of the facts, for to make a thousand facts takes longer than to make the one page that changed.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping
from dataclasses import fields, is_dataclass

import numpy as np
import numpy.typing as npt

from sitegen.boat_facts import Gatherer
from sizing.model import CheckColumns

Bytes = npt.NDArray[np.uint8]


class RowKeys:
    """Keys of all boats of one run; `site_key` stands for what is the same for every page of the site."""

    def __init__(self, gatherer: Gatherer, site_key: str) -> None:
        self._gatherer = gatherer
        self._arrays: list[Bytes] = []
        self._by_row: list[Mapping[int, object]] = []
        whole = hashlib.sha256(site_key.encode())
        result = gatherer.result
        columns = (result.requirements, result.checks, result.strike, result.strike_aboard, result.ride)
        for text in self._read(columns, "result"):
            whole.update(f"{text}\0".encode("utf-8", "surrogatepass"))
        self._whole = whole.digest()
        self._notes = _notes(result.checks, len(gatherer))
        self._table: Bytes = (
            np.hstack(self._arrays) if self._arrays else np.zeros((len(gatherer), 0), dtype=np.uint8)
        )

    def of(self, row: int) -> str:
        """The key of boat `row`."""
        digest = hashlib.sha256(self._whole)
        digest.update(self._table[row].tobytes())
        own = (self._gatherer.own(row), self._notes[row])
        digest.update(repr(own).encode("utf-8", "surrogatepass"))
        for mapping in self._by_row:
            digest.update(b"\0")
            digest.update(_bytes(mapping.get(row)))
        return digest.hexdigest()

    def _read(self, thing: object, name: str) -> Iterator[str]:
        """Sort what hangs below `thing` into columns, things by row, and what is the same for all (yielded).

        Raises TypeError for a kind not known here, so that nothing can be overlooked.
        """
        rows = len(self._gatherer)
        if isinstance(thing, np.ndarray):
            if len(thing) != rows:
                raise TypeError(f"{name} has {len(thing)} rows for {rows} boats")
            flat = np.ascontiguousarray(thing).reshape(rows, -1)
            self._arrays.append(flat.view(np.uint8).reshape(rows, -1))
            yield f"{name} {thing.dtype} {thing.shape[1:]}"
        elif isinstance(thing, Mapping) and all(isinstance(key, int) for key in thing):
            self._by_row.append(thing)
        elif thing is None or isinstance(thing, str | int | float):
            yield f"{name} {thing!r}"
        else:
            for key, value in _inside(thing, name):
                yield from self._read(value, f"{name}.{key}")


def _inside(thing: object, name: str) -> Iterator[tuple[object, object]]:
    if is_dataclass(thing):
        for field in fields(thing):
            # Notes are read row by row: a figure in one boat's note is no other boat's affair.
            if not (isinstance(thing, CheckColumns) and field.name == "notes"):
                yield field.name, getattr(thing, field.name)
    elif isinstance(thing, Mapping):
        yield from thing.items()
    elif isinstance(thing, tuple | list):
        yield from enumerate(thing)
    else:
        raise TypeError(f"{name} is of a kind not known here: {type(thing).__name__}")


def _notes(checks: tuple[CheckColumns, ...], rows: int) -> list[list[tuple[int, str]]]:
    """The further sentences about each boat, with the place of their check."""
    notes: list[list[tuple[int, str]]] = [[] for _ in range(rows)]
    for place, column in enumerate(checks):
        for mask, text in column.notes:
            for row in np.flatnonzero(mask):
                notes[row].append((place, text))
    return notes


def _bytes(value: object) -> bytes:
    """What a mapping holds for one boat: nothing, words, or columns of figures over time."""
    if isinstance(value, np.ndarray):
        return f"{value.dtype} {value.shape} ".encode() + np.ascontiguousarray(value).tobytes()
    if isinstance(value, tuple):
        return b"\0".join(_bytes(part) for part in value)
    return repr(value).encode("utf-8", "surrogatepass")
