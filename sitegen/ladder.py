"""The program's own wave strikes on a ladder of standard boats, to be set beside the published loads.

Everything here is computed with the program's own policy and catalogue, whatever the rally uses: it shows how
good the method is, not how the rally applies it.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from typing import Final

import numpy as np

from sizing.catalogue import load_catalogue
from sizing.drogue.loads import design_load_n
from sizing.drogue.published import HIGH_DISPLACEMENT_KG, LOW_DISPLACEMENT_KG, POUND_KG
from sizing.drogue.strengthen import strike_required
from sizing.drogue.strike_fleet import StrikePlan
from sizing.intake import read_fleet
from sizing.policy import Policy
from sizing.spreadsheet import csv_bytes

POUNDS: Final = (4_500, 7_500, 10_000, 15_000, 20_000, 30_000, 40_000, 60_000, 80_000)
CALIBRATED_POUNDS: Final = 7_500
"""Where the slope of the wave's face was set so that the strike meets the published load [CG87 6.2]."""
STANDARD_LENGTH_M: Final = 11.0
STANDARD_KG: Final = 8_000.0
TRANSOM_SHARE: Final = 0.25
"""The standard boat: 11 m at 8 t, her length with the cube root of displacement, a transom a quarter of it
[assumed]. Only the bridle's length depends on it."""


@dataclass(frozen=True)
class Rung:
    """One standard boat: displacement (kg), her computed peak and the design load (N)."""

    displacement_kg: float
    peak_n: float
    design_load_n: float
    calibrated: bool

    @property
    def inside(self) -> bool:
        """Whether she is within the published range."""
        return LOW_DISPLACEMENT_KG * 0.999 <= self.displacement_kg <= HIGH_DISPLACEMENT_KG * 1.001


@lru_cache(maxsize=1)
def ladder() -> tuple[Rung, ...]:
    """Strike the rig each standard boat needs; a boat that cannot be computed is left out."""
    day = date(2000, 1, 1)
    fleet = read_fleet(_sheet(), "standard boats", today=day).fleet
    _, strike = strike_required(fleet, Policy(), load_catalogue(), StrikePlan(samples=0, histories=False))
    return tuple(
        Rung(pounds * POUND_KG, float(peak), design_load_n(pounds * POUND_KG), pounds == CALIBRATED_POUNDS)
        for pounds, peak in zip(POUNDS, strike.peak_n, strict=True)
        if np.isfinite(peak)
    )


def _sheet() -> bytes:
    """The standard boats as an entry sheet."""
    columns = ("entry_no", "boat_name", "boat_type", "loa", "transom_width", "displacement",
               "displacement_basis")  # fmt: skip
    lengths = {pounds: STANDARD_LENGTH_M * (pounds * POUND_KG / STANDARD_KG) ** (1 / 3) for pounds in POUNDS}
    rows = (
        (pounds, f"Standard {pounds}", "sailing monohull", f"{length:.2f} m",
         f"{length * TRANSOM_SHARE:.2f} m", f"{pounds * POUND_KG:.3f} kg", "loaded")
        for pounds, length in lengths.items()
    )  # fmt: skip
    return csv_bytes([columns, *rows])
