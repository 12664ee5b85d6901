"""Files a boat's page offers beside itself."""

from __future__ import annotations

from functools import lru_cache

from sitegen.boat_facts import BoatFacts
from sizing.spreadsheet import Cell, csv_bytes
from sizing.units import show


def marks_of(boat_page: str) -> str:
    """Return the address of a boat's marks beside her page.

    >>> marks_of("boats/017-9309f67f.html")
    'boats/017-9309f67f-marks.csv'
    """
    return boat_page.removesuffix(".html") + "-marks.csv"


def marks_csv(facts: BoatFacts) -> bytes:
    """Return the marks of every cone as CSV, in both systems; no text of anybody stands in it."""
    rows: list[tuple[Cell, ...]] = [("cone", "section", "from_outer_eye_m", "from_outer_eye_ft_in",
                                     "from_end_thimble_m", "from_end_thimble_ft_in")]  # fmt: skip
    rows.extend(
        (mark.cone, mark.section + 1, f"{mark.in_section_m:.3f}", _feet(mark.in_section_m),
         f"{mark.distance_m:.3f}", _feet(mark.distance_m))
        for mark in facts.marks
    )  # fmt: skip
    return csv_bytes(rows)


@lru_cache(maxsize=1 << 14)
def _feet(length_m: float) -> str:
    """Feet and inches; the cones of most boats stand at the same places."""
    return show(length_m, "length").us
