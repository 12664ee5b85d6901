"""Standard boats, and the rigs of the published rule alone that the model is fitted and tried on."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np
import polars as pl

from sizing.catalogue import load_catalogue
from sizing.drogue.published import POUND_KG
from sizing.drogue.size import size_fleet
from sizing.drogue.strike import StrikeRigs
from sizing.drogue.strike_fleet import required_rigs
from sizing.fields import CHOICES
from sizing.model import FleetColumns, RequirementColumns
from sizing.policy import Policy

CALIBRATION_POUNDS: Final = 7_500
POUNDS: Final = (4_500, 7_500, 10_000, 15_000, 20_000, 30_000, 40_000, 60_000, 80_000)
STANDARD_LENGTH_M: Final = 11.0
STANDARD_KG: Final = 8_000.0
TRANSOM_SHARE: Final = 0.25
"""The standard boat: 11 m at 8 t, her length with the cube root of displacement, a transom a quarter of it
[assumed]. Only the bridle's length depends on it."""


def standard_fleet(pounds: Sequence[float]) -> FleetColumns:
    """Standard sailing monohulls of these loaded displacements (lb)."""
    mass = np.asarray(pounds, dtype=np.float64) * POUND_KG
    length = STANDARD_LENGTH_M * (mass / STANDARD_KG) ** (1.0 / 3.0)
    unknown = np.full(len(mass), np.nan)
    names = pl.DataFrame({"entry_no": [f"standard {round(p):,} lb" for p in pounds]})

    def said(column: str, word: str) -> np.ndarray[tuple[int], np.dtype[np.int8]]:
        return np.full(len(mass), CHOICES[column].index(word), dtype=np.int8)

    return FleetColumns(
        row_no=np.arange(len(mass)),
        line_no=np.arange(len(mass)),
        number={
            "displacement_kg": mass,
            "loa_m": length,
            "transom_width_m": length * TRANSOM_SHARE,
            "beam_m": unknown,
            "windage_area_m2": unknown,
        },
        choice={
            "boat_type": said("boat_type", "sailing monohull"),
            "displacement_basis": said("displacement_basis", "loaded"),
        },
        text=names,
        as_written=names,
        section_diameters_m=np.full((len(mass), 3), np.nan),
    )


def calibration_rigs(pounds: Sequence[float]) -> tuple[RequirementColumns, StrikeRigs]:
    """What standard boats need by the published rule alone, and those rigs with every input nominal.

    The program's own policy and catalogue, whatever a rally uses: this shows how good the method is, not how
    the rally applies it. [CG87 6.1, 6.2, 6.3]
    """
    policy, catalogue = Policy(), load_catalogue()
    needed = size_fleet(standard_fleet(pounds), policy, catalogue)
    return needed, required_rigs(needed, policy, catalogue)
