"""Figures held against each other: a slip of the pen is an error, an unusual boat a warning.

Ratios are checked for all boats at once; sentences are made for flagged boats alone. The bands are [assumed]:
chosen so that cruising yachts of the usual kinds lie inside `usual`, and outside `possible` only figures that
no seagoing boat of that type has. Pounds read as kilograms can hide in a plausible figure: a slip by 2.2
often stays inside the band, and heavy and light designs of one size differ by more. Boats of one design do
not [assumed], so these are held against each other too.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np
import polars as pl

from sizing.fields import CHOICES, FIELD_BY_NAME
from sizing.intake.cells import explain
from sizing.intake.collect import Collected, Fault
from sizing.intake.headers import Columns
from sizing.model import BoolArray, CodeArray, FloatArray, IntArray
from sizing.raw_table import RawTable
from sizing.units import both, clip, si_factor

WATERLINE_SHARE: Final = 0.9
"""Waterline length over length of hull where the waterline is not given [assumed]."""
MOST_APART: Final = 1.6
"""Largest ratio of displacements within one design: light to loaded, and the years between [assumed]."""
SAME_LENGTH: Final = 0.08
"""Share by which lengths within one design may differ; names such as "one-off" serve many [assumed]."""
_KG_TO_LB: Final = (2.0, 2.45)


@dataclass(frozen=True)
class Band:
    """Bounds of a ratio: `usual` without remark, `possible` with a warning, beyond it a slip."""

    usual: tuple[float, float]
    possible: tuple[float, float]


# In the order of CHOICES["boat_type"] [assumed].
DISPLACEMENT_LENGTH: Final = (
    Band((80.0, 420.0), (40.0, 600.0)),
    Band((25.0, 220.0), (12.0, 400.0)),
    Band((60.0, 480.0), (30.0, 800.0)),
    Band((25.0, 260.0), (12.0, 450.0)),
)
BEAM_LENGTH: Final = (
    Band((0.20, 0.45), (0.12, 0.60)),
    Band((0.40, 0.85), (0.25, 1.05)),
    Band((0.20, 0.45), (0.12, 0.60)),
    Band((0.30, 0.75), (0.20, 1.00)),
)
WATERLINE_LENGTH: Final = Band((0.65, 1.0), (0.45, 1.001))
TRANSOM_BEAM: Final = Band((0.20, 1.0), (0.02, 1.001))
TRANSOM_LENGTH: Final = (
    Band((0.12, 0.40), (0.07, 0.45)),
    Band((0.12, 0.80), (0.07, 1.05)),
    Band((0.12, 0.40), (0.07, 0.45)),
    Band((0.12, 0.75), (0.07, 1.00)),
)
_SHORTEST_LEG: Final = 0.5


def displacement_length_ratio(displacement_kg: FloatArray, waterline_m: FloatArray) -> FloatArray:
    """Return the displacement-length ratio, (D / long ton) / (0.01 L / ft)^3.

    D displacement in kg, L waterline length in m; any shape; D, L > 0. Source: [practice].

    >>> round(float(displacement_length_ratio(np.array(10160.47), np.array(9.144))), 1)
    370.4
    """
    long_tons = displacement_kg / si_factor("long_ton")
    hundredths = 0.01 * waterline_m / si_factor("foot")
    return np.asarray(long_tons / hundredths**3, dtype=np.float64)


@dataclass(frozen=True)
class Fleet:
    """The columns that are held against each other, and the cells they came from."""

    frame: pl.DataFrame
    columns: Columns
    number: Mapping[str, FloatArray]
    choice: Mapping[str, CodeArray]
    sections_m: FloatArray
    collected: Collected

    def value(self, name: str, row: int) -> float:
        """The SI value of a column for one row."""
        return float(self.number[FIELD_BY_NAME[name].si_name][row])

    def slip(self, name: str, row: int, fits: Callable[[float], bool]) -> str:
        """A sentence on the unit that would make this cell fit, or ""."""
        if name not in self.columns.place:
            return ""
        text = self.frame[str(self.columns.place[name])][row]
        field = FIELD_BY_NAME[name]
        return explain(self.value(name, row), text, self.columns.unit.get(name), field,
                       lambda value: _in_limits(name, value) and fits(value))  # fmt: skip

    def fault(self, name: str, row: int, found: str, expected: str, mend: str) -> None:
        """Record an implausible figure."""
        fault = Fault("implausible", found, expected, mend)
        self.collected.fault(row, self.columns.place.get(name, -1), fault)


def check(fleet: Fleet) -> None:
    """Hold each boat's figures against each other; slips and warnings go to `fleet.collected`."""
    _displacement_length(fleet)
    _beam_length(fleet)
    _part_of("lwl", "loa", WATERLINE_LENGTH, fleet)
    _part_of("transom_width", "beam", TRANSOM_BEAM, fleet)
    _transom_length(fleet)
    _bridle(fleet)
    _sections(fleet)
    _years(fleet)
    _gear(fleet)


def _in_limits(name: str, value: float) -> bool:
    limits = FIELD_BY_NAME[name].limits
    return limits is None or limits[0] <= value <= limits[1]


def _outside(ratio: FloatArray, low: FloatArray | float, high: FloatArray | float) -> BoolArray:
    """Which ratios are known and outside; a missing figure is not implausible."""
    return np.asarray((ratio < low) | (ratio > high), dtype=np.bool_)


def _by_type(
    bands: tuple[Band, ...], codes: CodeArray
) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    table = np.array([(*band.usual, *band.possible) for band in bands] + [(-np.inf, np.inf, -np.inf, np.inf)])
    low, high, least, most = table[codes].T
    return low, high, least, most


def _displacement_length(fleet: Fleet) -> None:
    mass, loa, lwl = fleet.number["displacement_kg"], fleet.number["loa_m"], fleet.number["lwl_m"]
    length = np.where(np.isnan(lwl), WATERLINE_SHARE * loa, lwl)
    ratio = displacement_length_ratio(mass, length)
    low, high, least, most = _by_type(DISPLACEMENT_LENGTH, fleet.choice["boat_type"])
    slips = _outside(ratio, least, most)
    for row in np.flatnonzero(slips):
        _displacement_slip(fleet, int(row), float(length[row]), float(ratio[row]))
    odd = np.flatnonzero(_outside(ratio, low, high) & ~slips)
    said = []
    for row in odd:
        kind = CHOICES["boat_type"][int(fleet.choice["boat_type"][row])]
        fits = _fits_length(fleet, int(row), float(length[row]))
        hint = fleet.slip("displacement", int(row), _heavier(float(mass[row]), fits))
        weight = "heavy" if ratio[row] > high[row] else "light"
        said.append(
            f"{both(float(mass[row]), 'mass')} is {weight} for a {kind} with a waterline of about "
            f"{both(float(length[row]), 'length')} (displacement-length ratio {ratio[row]:.0f}, usually "
            f"{low[row]:.0f} to {high[row]:.0f})" + (f"; {hint}" if hint else "")
        )
    fleet.collected.remark("warning", "displacement_length", "displacement", odd, said)


def _fits_length(fleet: Fleet, row: int, length: float) -> Callable[[float], bool]:
    band = DISPLACEMENT_LENGTH[int(fleet.choice["boat_type"][row])]
    return lambda kg: _usual(band, float(displacement_length_ratio(np.array(kg), np.array(length))))


def _heavier(kg: float, fits: Callable[[float], bool]) -> Callable[[float], bool]:
    """A figure that fits and is no lighter than the one written: nobody is shown a lighter one to take."""
    return lambda other: other > kg and fits(other)


def _usual(band: Band, ratio: float) -> bool:
    return band.usual[0] <= ratio <= band.usual[1]


def _displacement_slip(fleet: Fleet, row: int, length: float, ratio: float) -> None:
    band = DISPLACEMENT_LENGTH[int(fleet.choice["boat_type"][row])]
    kind = CHOICES["boat_type"][int(fleet.choice["boat_type"][row])]
    mass, loa = fleet.value("displacement", row), fleet.value("loa", row)
    found = (
        f"{both(mass, 'mass')} does not go with a {kind} whose waterline is about {both(length, 'length')}: "
        f"displacement-length ratio {ratio:.0f}"
    )
    expected = f"a ratio from {band.possible[0]:.0f} to {band.possible[1]:.0f}"
    suspects: dict[str, tuple[str, Callable[[float], bool]]] = {
        "displacement": ("the unit", _heavier(mass, _fits_length(fleet, row, length))),
        "loa": ("the unit of the lengths",
                lambda metres: _fits_length(fleet, row, length * metres / loa)(mass)),
    }  # fmt: skip
    _blame(
        fleet,
        row,
        found,
        expected,
        suspects,
        "check the unit of the displacement, the lengths and the boat type",
    )


def _blame(
    fleet: Fleet,
    row: int,
    found: str,
    expected: str,
    suspects: Mapping[str, tuple[str, Callable[[float], bool]]],
    otherwise: str,
) -> None:
    """Record a slip against the first column that another unit would mend, or else against the first.

    A suspect has what is to be checked of it, in words, and which figures would fit.
    """
    for name, (words, fits) in suspects.items():
        if hint := fleet.slip(name, row, fits):
            fleet.fault(name, row, found, expected, f"check {words}: {hint}")
            return
    fleet.fault(next(iter(suspects)), row, found, expected, otherwise)


def _beam_length(fleet: Fleet) -> None:
    beam, loa = fleet.number["beam_m"], fleet.number["loa_m"]
    ratio = beam / loa
    low, high, least, most = _by_type(BEAM_LENGTH, fleet.choice["boat_type"])
    slips = _outside(ratio, least, most)
    for row in np.flatnonzero(slips):
        band = BEAM_LENGTH[int(fleet.choice["boat_type"][row])]
        found = _ratio_found("beam", "loa", int(row), fleet)
        expected = f"from {band.possible[0]:g} to {band.possible[1]:g} of the length"
        _blame_one(("beam", "loa"), int(row), band, found, expected, fleet)
    odd = np.flatnonzero(_outside(ratio, low, high) & ~slips)
    said = [
        f"{_ratio_found('beam', 'loa', int(row), fleet)}, usually {low[row]:g} to {high[row]:g} for a "
        f"{CHOICES['boat_type'][int(fleet.choice['boat_type'][row])]}"
        for row in odd
    ]
    fleet.collected.remark("warning", "beam_length", "beam", odd, said)


def _part_of(part: str, whole: str, band: Band, fleet: Fleet) -> None:
    """Check a length that must not exceed another."""
    ratio = fleet.number[f"{part}_m"] / fleet.number[f"{whole}_m"]
    slips = _outside(ratio, *band.possible)
    for row in np.flatnonzero(slips):
        found = _ratio_found(part, whole, int(row), fleet)
        expected = f"{part} from {band.possible[0]:.0%} to 100% of {whole}"
        _blame_one((part, whole), int(row), band, found, expected, fleet)
    odd = np.flatnonzero((ratio < band.usual[0]) & ~slips)
    said = [f"{_ratio_found(part, whole, int(row), fleet)}, which is unusually little" for row in odd]
    fleet.collected.remark("warning", f"{part}_{whole}", part, odd, said)


def _ratio_found(part: str, whole: str, row: int, fleet: Fleet) -> str:
    first, second = fleet.value(part, row), fleet.value(whole, row)
    return f"{part} {both(first, 'length')} is {first / second:.2f} of {whole} {both(second, 'length')}"


def _blame_one(pair: tuple[str, str], row: int, band: Band, found: str, expected: str, fleet: Fleet) -> None:
    part, whole = pair
    first, second = fleet.value(part, row), fleet.value(whole, row)
    suspects: dict[str, tuple[str, Callable[[float], bool]]] = {
        part: ("the unit", lambda value: _usual(band, value / second)),
        whole: ("the unit", lambda value: _usual(band, first / value)),
    }
    _blame(fleet, row, found, expected, suspects, f"check {part} and {whole}")


def _transom_length(fleet: Fleet) -> None:
    """Hold the transom against the length too: the beam is often not given."""
    ratio = fleet.number["transom_width_m"] / fleet.number["loa_m"]
    low, high, least, most = _by_type(TRANSOM_LENGTH, fleet.choice["boat_type"])
    place = fleet.columns.place.get("transom_width", -1)
    slips = [int(row) for row in np.flatnonzero(_outside(ratio, least, most))]
    told = {row for row in slips if any(at == place for at, _ in fleet.collected.faults.get(row, ()))}
    for row in slips:
        if row in told:
            continue
        band = TRANSOM_LENGTH[int(fleet.choice["boat_type"][row])]
        length = fleet.value("loa", row)
        suspects: dict[str, tuple[str, Callable[[float], bool]]] = {
            "transom_width": ("the unit", _between(band.usual[0] * length, band.usual[1] * length)),
        }
        expected = f"from {band.possible[0]:.0%} to {band.possible[1]:.0%} of the length"
        found = _ratio_found("transom_width", "loa", row, fleet)
        _blame(fleet, row, found, expected, suspects, "measure it again, between the strong points")
    odd = np.flatnonzero(_outside(ratio, low, high) & ~_outside(ratio, least, most))
    said = [
        f"{_ratio_found('transom_width', 'loa', int(row), fleet)}, usually {low[row]:g} to {high[row]:g}"
        for row in odd
    ]
    fleet.collected.remark("warning", "transom_length", "transom_width", odd, said)


def _bridle(fleet: Fleet) -> None:
    """Reject bridle legs too short to meet behind the transom."""
    leg, width = fleet.number["bridle_leg_length_m"], fleet.number["transom_width_m"]
    for place in np.flatnonzero(leg <= _SHORTEST_LEG * width):
        row = int(place)
        span = fleet.value("transom_width", row)
        legs = both(fleet.value("bridle_leg_length", row), "length")
        found = f"bridle legs of {legs} cannot meet behind a transom width of {both(span, 'length')}"
        suspects = {"bridle_leg_length": ("the unit", _between(span, 6.0 * span))}
        _blame(fleet, row, found, "legs longer than half the transom width", suspects,
               "check the length of one leg and the transom width")  # fmt: skip


def _between(low: float, high: float) -> Callable[[float], bool]:
    return lambda value: low <= value <= high


def _sections(fleet: Fleet) -> None:
    grows = np.flatnonzero((np.diff(fleet.sections_m, axis=1) > 1e-9).any(axis=1))
    said = ["the diameters grow outward; sections are entered from the boat outward and become thinner"]
    fleet.collected.remark("warning", "section_order", "section_diameters", grows, said)


def _years(fleet: Fleet) -> None:
    made, seen = fleet.number["made_year"], fleet.number["last_inspected_day"]
    known = np.flatnonzero(~np.isnan(made) & ~np.isnan(seen))
    # 1 January of year y is day 365 (y - 1) + leap days + 1 of the proleptic calendar.
    before = made[known] - 1.0
    first = 365.0 * before + np.floor(before / 4) - np.floor(before / 100) + np.floor(before / 400) + 1.0
    rows = known[seen[known] < first]
    said = ["the last inspection lies before the year in which the device was made"]
    fleet.collected.remark("warning", "inspected_before_made", "last_inspected", rows, said)


def _gear(fleet: Fleet) -> None:
    """Warn where the device is said to be none and yet cones are entered."""
    none = fleet.choice["device_type"] == CHOICES["device_type"].index("none")
    rows = np.flatnonzero(none & (fleet.number["cone_count"] > 0.0))
    said = ["the device is said to be none, and yet cones are entered"]
    fleet.collected.remark("warning", "gear_of_none", "device_type", rows, said)


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
