"""A key for each boat from the columns that her facts are made of.

Where the key is the same, so are the facts, and with them every byte of her page. The columns are read here
and not the facts, for to gather a thousand boats takes longer than to make the one page that changed.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import fields, is_dataclass
from datetime import date
from typing import Any

import numpy as np

from sitegen.boat_facts import Gatherer
from sitegen.reuse import sha256_of
from sizing.model import BoolArray, CheckColumns


def row_keys(gatherer: Gatherer, site_key: str) -> list[str]:
    """Return the keys of all boats of a run; `site_key` stands for what is the same for all pages.

    Raises TypeError for a kind of data not known here, so that nothing can be overlooked.
    """
    boats, result = len(gatherer), gatherer.result
    alike: list[str] = [site_key]
    columns: list[Any] = []
    hers: list[list[object]] = [[gatherer.own(row)] for row in range(boats)]
    aboard = result.strike_aboard
    parts = (result.requirements, result.checks, result.strike, aboard, result.ride, result.made)
    for name, thing in _leaves(parts, "result"):
        if isinstance(thing, np.ndarray):
            if len(thing) != boats:
                raise TypeError(f"{name} has {len(thing)} rows for {boats} boats")
            alike.append(f"{name} {thing.dtype} {thing.shape[1:]}")
            flat = np.ascontiguousarray(thing).reshape(boats, -1)
            columns.append(flat.view(np.uint8).reshape(boats, -1))
        elif isinstance(thing, Mapping):
            for row, value in thing.items():
                hers[row].append((name, _hashable(value)))
        else:
            alike.append(f"{name} {thing!r}")
    whole = sha256_of(*alike)
    table = np.hstack(columns) if columns else np.zeros((boats, 0), dtype=np.uint8)
    return [sha256_of(whole, table[row].tobytes(), repr(hers[row])) for row in range(boats)]


def _leaves(thing: Any, name: str) -> Iterator[tuple[str, Any]]:
    """What hangs below `thing`, by name: columns, mappings by row, and what is the same for all boats."""
    inside: Any
    if isinstance(thing, np.ndarray | str | int | float | date | None):
        yield name, thing
        return
    if isinstance(thing, Mapping):
        if all(isinstance(key, int) for key in thing):
            yield name, thing
            return
        inside = thing.items()
    elif isinstance(thing, tuple | list):
        inside = enumerate(thing)
    elif is_dataclass(thing):
        inside = ((field.name, getattr(thing, field.name)) for field in fields(thing))
    else:
        raise TypeError(f"{name} is of a kind not known here: {type(thing).__name__}")
    for key, value in inside:
        by_row = isinstance(thing, CheckColumns) and key in ("notes", "advice")
        yield from _leaves(_by_row(value) if by_row else value, f"{name}.{key}")


def _by_row(sentences: Sequence[tuple[BoolArray, str]]) -> Mapping[int, list[str]]:
    """The further sentences of a check by boat: what is said of one is no other boat's affair."""
    found: dict[int, list[str]] = {}
    for mask, text in sentences:
        for row in np.flatnonzero(mask).tolist():
            found.setdefault(row, []).append(text)
    return found


def _hashable(value: object) -> object:
    """What a mapping holds for one boat, with the hash of each column over time in its place."""
    if isinstance(value, np.ndarray):
        return value.dtype.str, value.shape, sha256_of(value.tobytes())
    return tuple(map(_hashable, value)) if isinstance(value, tuple) else value
