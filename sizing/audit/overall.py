"""How boats stand as a whole: what is open, and what of that which is met rests on nobody's word but hers."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

import numpy as np

from sizing.model import CheckColumns, FleetColumns, IntArray, Standing

_NOTHING_MEASURED: Final[Mapping[int, Collection[str]]] = MappingProxyType({})

ANSWERED: Final = "answered"
"""Code of the remark about a value that her skipper answered: it is of the column that the remark names."""


@dataclass(frozen=True)
class OverallColumns:
    """Counts of findings of each boat, (n,).

    `open_shalls` and `open_shoulds` are open at their level; what stays below a limit that is advised beside
    one that is met counts as an open should. `met` are met of those that are about something a person looks
    at; `on_word` of them rest on the skipper's word alone, or on nothing that the sheet tells.
    """

    open_shalls: IntArray
    open_shoulds: IntArray
    met: IntArray
    on_word: IntArray


def overall(
    checks: Sequence[CheckColumns],
    fleet: FleetColumns,
    measured: Mapping[int, Collection[str]] = _NOTHING_MEASURED,
) -> OverallColumns:
    """Count each boat's findings. `measured` are the columns that a scrutineer measured, by boat's row.

    What rests on a value that her skipper answered rests on her word, whatever the rest of the sheet is of.
    """
    counts = {name: np.zeros(len(fleet), dtype=np.int64) for name in ("shall", "should", "met", "on_word")}
    shown = fleet.chosen("evidence", "certificate", "measured by scrutineer", "photo")
    answered = [remark for remark in fleet.remarks if remark.code == ANSWERED]
    for result in checks:
        counts[result.check.level] += result.is_open
        counts["should"] += result.below_advised
        if result.check.columns and result.check.family != "data":
            met = result.standing == Standing.MEETS
            counts["met"] += met
            seen = shown.copy()
            seen[[row for row, columns in measured.items() if result.check.columns[0] in columns]] = True
            for remark in answered:
                if remark.column in result.check.columns:
                    seen[remark.rows] = False
            counts["on_word"] += met & ~seen
    return OverallColumns(counts["shall"], counts["should"], counts["met"], counts["on_word"])
