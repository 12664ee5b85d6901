"""Small fleets made of arrays, for tests of the sizing."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import numpy.typing as npt
import polars as pl

from sizing.fields import CHOICES, FIELDS
from sizing.model import FleetColumns, FloatArray

POUND_KG = 0.45359237  # exact [SP 811]
POUND_FORCE_N = 4.4482216152605  # exact [SP 811]
FOOT_M = 0.3048  # exact [SP 811]


def fleet_of(
    displacement_kg: npt.ArrayLike,
    *,
    boat_type: str = "sailing monohull",
    basis: str | None = "loaded",
    numbers: Mapping[str, npt.ArrayLike] | None = None,
) -> FleetColumns:
    """A fleet of like boats but for displacement and the columns in `numbers`."""
    displacement = np.atleast_1d(np.asarray(displacement_kg, dtype=np.float64))
    boats = len(displacement)
    number: dict[str, FloatArray] = {
        field.si_name: np.full(boats, np.nan) for field in FIELDS if field.kind in ("quantity", "count")
    }
    number |= {
        "loa_m": np.full(boats, 12.0),
        "transom_width_m": np.full(boats, 3.0),
        "displacement_kg": displacement,
    }
    for name, values in (numbers or {}).items():
        number[name] = np.broadcast_to(np.asarray(values, dtype=np.float64), (boats,)).copy()
    choice = {name: np.full(boats, -1, dtype=np.int8) for name in CHOICES}
    choice["boat_type"][:] = CHOICES["boat_type"].index(boat_type)
    if basis is not None:
        choice["displacement_basis"][:] = CHOICES["displacement_basis"].index(basis)
    entry_no = [str(i + 1) for i in range(boats)]
    text = pl.DataFrame({"entry_no": entry_no, "boat_name": entry_no})
    return FleetColumns(
        row_no=np.arange(1, boats + 1),
        line_no=np.arange(2, boats + 2),
        number=number,
        choice=choice,
        text=text,
        as_written=text,
        section_diameters_m=np.full((boats, 3), np.nan),
    )
