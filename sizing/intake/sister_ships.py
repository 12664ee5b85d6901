"""Boats of one design held against each other: pounds read as kilograms can hide in a plausible figure.

A slip by 2.2 often stays inside the band of displacement-length ratios, and beam and length cannot show it
either: heavy and light designs of one size differ by more. Boats of the same design do not [assumed].
"""

from __future__ import annotations

from typing import Final

import numpy as np
import polars as pl

from sizing.intake.collect import Collected
from sizing.intake.table import RawTable
from sizing.model import FloatArray, IntArray
from sizing.units import both, clip

MOST_APART: Final = 1.6
"""Largest ratio of displacements within one design: light to loaded, and the years between [assumed]."""
SAME_LENGTH: Final = 0.08
"""Share by which lengths within one design may differ; names such as "one-off" serve many [assumed]."""
_KG_TO_LB: Final = (2.0, 2.45)


def check_sister_ships(
    table: RawTable,
    designs: pl.Series,
    displacement_kg: FloatArray,
    loa_m: FloatArray,
    collected: Collected,
) -> None:
    """Warn where a boat's displacement is far from that of the other boats of her design.

    With one sister both are named, since nobody can tell which is wrong; with more, those that stand apart
    from the middle one. Rows with a fault are left aside. Nothing is rejected and no figure changed.
    """
    known = np.isfinite(displacement_kg) & np.isfinite(loa_m) & ~collected.rejected(table.frame.height)
    groups: dict[str, list[int]] = {}
    for row, design in enumerate(designs.to_list()):
        name = " ".join(design.split()).casefold()
        if name and known[row]:
            groups.setdefault(name, []).append(row)
    found: list[tuple[int, str]] = []
    for rows in groups.values():
        if len(rows) > 1:
            sisters = _of_one_length(np.array(rows, dtype=np.int64), loa_m)
            found += _apart(sisters, displacement_kg, designs, table)
    found.sort()
    places = np.array([row for row, _ in found], dtype=np.int64)
    collected.remark("warning", "sister_ships", "displacement", places, [words for _, words in found])


def _of_one_length(rows: IntArray, loa_m: FloatArray) -> IntArray:
    middle = float(np.median(loa_m[rows]))
    return rows[np.abs(loa_m[rows] - middle) <= SAME_LENGTH * middle]


def _apart(
    rows: IntArray, displacement_kg: FloatArray, designs: pl.Series, table: RawTable
) -> list[tuple[int, str]]:
    masses = displacement_kg[rows]
    if len(rows) < 2 or masses.max() < MOST_APART * masses.min():
        return []
    middle = float(np.median(masses))
    said = []
    for row, other in zip(rows.tolist(), rows[::-1].tolist(), strict=True):
        alone = len(rows) == 2
        usual = float(displacement_kg[other]) if alone else middle
        ratio = max(displacement_kg[row] / usual, usual / displacement_kg[row])
        if ratio >= MOST_APART:
            sister = f"the boat in row {int(table.row_no[other])}" if alone else "the others"
            mass, design = float(displacement_kg[row]), designs[row]
            said.append((row, _words(mass, usual, float(ratio), sister, design)))
    return said


def _words(mass: float, usual: float, ratio: float, sister: str, design: str) -> str:
    weight = "more" if mass > usual else "less"
    hint = ", as between kg and lb: check the unit" if _KG_TO_LB[0] <= ratio <= _KG_TO_LB[1] else ""
    return (
        f"{both(mass, 'mass')} is much {weight} than the {both(usual, 'mass')} of {sister} of the same "
        f"design, “{clip(design.strip())}”: a factor of {ratio:.1f}{hint}"
    )
