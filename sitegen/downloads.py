"""Files a boat's page offers beside itself."""

from __future__ import annotations

import csv
import io

from sitegen.addresses import boat_address
from sitegen.record import BoatRecord
from sizing.units import show


def marks_address(record: BoatRecord) -> str:
    """Return the address of a boat's marks, relative to the site."""
    return boat_address(record.slug).removesuffix(".html") + "-marks.csv"


def marks_csv(record: BoatRecord) -> str:
    """Return the marks of every cone as CSV, in both systems; no text of anybody stands in it."""
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\n")
    writer.writerow(["cone", "section", "from_outer_eye_m", "from_outer_eye_ft_in", "from_end_thimble_m",
                     "from_end_thimble_ft_in"])  # fmt: skip
    for mark in record.marks:
        writer.writerow(
            [
                mark.cone,
                mark.section + 1,
                f"{mark.in_section_m:.3f}",
                show(mark.in_section_m, "length").us,
                f"{mark.distance_m:.3f}",
                show(mark.distance_m, "length").us,
            ]
        )
    return stream.getvalue()
