"""The structure of plain delimited text, found on its bytes without parsing it.

Plain means: every quote opens, closes or doubles just where RFC 4180 has it, line ends are all alike, every
row has as many cells as the header, and none is blank. For such text any CSV parser finds the same cells.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, TypeAlias

import numpy as np
import numpy.typing as npt

from sizing.model import IntArray

_QUOTE: Final = 34
_NEWLINE: Final = 10
_RETURN: Final = 13
_Signs: TypeAlias = npt.NDArray[np.uint8]


@dataclass(frozen=True)
class RowPlaces:
    """Where the rows of a text begin and end, and on which line each begins."""

    starts: IntArray
    ends: IntArray
    lines: IntArray
    quoted: bool


def find_rows(data: bytes, delimiter: str, header_at: int, width: int) -> RowPlaces | None:
    """Return the rows of a plain text; None if it is not plain from the header on."""
    signs = np.frombuffer(data, dtype=np.uint8)
    sign = ord(delimiter)
    breaks = np.flatnonzero(signs == _NEWLINE)
    returns = _paired_returns(data, signs, breaks)
    quotes = np.flatnonzero(signs == _QUOTE) if b'"' in data else breaks[:0]
    if returns is None or not _well_quoted(signs, quotes, sign):
        return None
    inner = breaks if not quotes.size else breaks[(np.searchsorted(quotes, breaks) & 1) == 0]
    if returns and len(inner) != len(breaks):
        return None
    starts = np.concatenate(([0], inner + 1))
    ends = np.concatenate((inner - returns, [len(data)]))
    if starts[-1] == len(data):
        starts, ends = starts[:-1], ends[:-1]
    if len(starts) <= header_at:
        return None
    delimiters = np.flatnonzero(signs == sign)
    cells = np.diff(np.searchsorted(delimiters, np.concatenate((starts, [len(data)])))) + 1
    if quotes.size:
        opened, closed = quotes[0::2], quotes[1::2]
        inside = np.searchsorted(delimiters, closed) - np.searchsorted(delimiters, opened)
        row = np.searchsorted(ends, opened)
        cells = cells - np.bincount(row, weights=inside, minlength=len(cells)).astype(np.int64)
    even = (cells[header_at:] == width) & (ends[header_at:] > starts[header_at:])
    if not even.all():
        return None
    lines = np.searchsorted(breaks, starts) + 1
    return RowPlaces(starts, ends, lines.astype(np.int64), bool(quotes.size))


def _paired_returns(data: bytes, signs: _Signs, breaks: IntArray) -> int | None:
    """Return 1 if every line feed follows a carriage return, 0 if there is none, None if they are mixed."""
    if b"\r" not in data:
        return 0
    paired = breaks.size and breaks[0] > 0 and bool((signs[breaks - 1] == _RETURN).all())
    return 1 if paired and data.count(b"\r") == len(breaks) else None


def _well_quoted(signs: _Signs, quotes: IntArray, sign: int) -> bool:
    """Whether every quote opens, closes or doubles in its place.

    Quotes are taken in pairs; two pairs without a gap have a doubled quote between them.
    """
    if not quotes.size:
        return True
    if quotes.size % 2:
        return False
    edge = np.zeros(256, dtype=bool)
    edge[[sign, _NEWLINE, _RETURN]] = True
    opened, closed = quotes[0::2], quotes[1::2]
    doubled = opened[1:] == closed[:-1] + 1
    begins = edge[signs[np.maximum(opened - 1, 0)]] | (opened == 0)
    ends = edge[signs[np.minimum(closed + 1, len(signs) - 1)]] | (closed == len(signs) - 1)
    begins[1:] |= doubled
    ends[:-1] |= doubled
    return bool(begins.all() and ends.all())
