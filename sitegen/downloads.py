"""Files a boat's page offers beside itself."""

from __future__ import annotations

import csv
import io
from functools import lru_cache

from sitegen.boat_facts import BoatFacts
from sizing.units import show


def marks_of(boat_page: str) -> str:
    """Return the address of a boat's marks beside her page.

    >>> marks_of("boats/017-9309f67f.html")
    'boats/017-9309f67f-marks.csv'
    """
    return boat_page.removesuffix(".html") + "-marks.csv"


def marks_csv(facts: BoatFacts) -> str:
    """Return the marks of every cone as CSV, in both systems; no text of anybody stands in it."""
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\n")
    writer.writerow(["cone", "section", "from_outer_eye_m", "from_outer_eye_ft_in", "from_end_thimble_m",
                     "from_end_thimble_ft_in"])  # fmt: skip
    for mark in facts.marks:
        writer.writerow(
            [
                mark.cone,
                mark.section + 1,
                f"{mark.in_section_m:.3f}",
                _feet(mark.in_section_m),
                f"{mark.distance_m:.3f}",
                _feet(mark.distance_m),
            ]
        )
    return stream.getvalue()


@lru_cache(maxsize=1 << 14)
def _feet(length_m: float) -> str:
    """Feet and inches; the cones of most boats stand at the same places."""
    return show(length_m, "length").us
