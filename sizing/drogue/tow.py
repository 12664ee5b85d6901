"""Steady tow, windage, and the speed a boat drifts at when she lies to her drogue."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

import numpy as np

from sizing.drogue.density import AIR_KG_M3
from sizing.drogue.figures import Figure
from sizing.drogue.published import KNOT_MPS
from sizing.fields import CHOICES
from sizing.model import CodeArray, FloatArray

WIND_SPEED_MPS: Final = 50.0 * KNOT_MPS
"""Wind the drift speed is stated at: 50 kn [assumed]."""

AIR_DRAG_COEFFICIENT: Final = 1.0
"""Of hull and rig seen from astern, on their area [assumed]."""

HULL_DRAG_SHARE: Final = 0.05
"""Drag area of the hull moving slowly ahead, over the two-thirds power of her volume [assumed]."""

BEAM_SHARE: Final[Mapping[str, float]] = MappingProxyType(
    {"sailing monohull": 0.32, "sailing multihull": 0.55, "motor monohull": 0.32, "motor multihull": 0.50}
)
"""Beam over hull length, where the beam is not given [assumed]."""

HEIGHT_SHARE: Final[Mapping[str, float]] = MappingProxyType(
    {"sailing monohull": 0.18, "sailing multihull": 0.17, "motor monohull": 0.28, "motor multihull": 0.28}
)
"""Mean height of hull and houses above the water over hull length [assumed]."""

RIG_SHARE: Final[Mapping[str, float]] = MappingProxyType(
    {"sailing monohull": 0.05, "sailing multihull": 0.05, "motor monohull": 0.01, "motor multihull": 0.01}
)
"""Area of spars, rigging and furled sails over hull length squared [assumed]."""


def drogue_drag_n(
    speed_mps: Figure, cones: Figure, cone_mouth_area_m2: float, drag_coefficient: float, density: float
) -> Figure:
    """Drag of a series drogue in a steady tow: 1/2 rho Cd N a V^2.

    m/s, m2, kg/m3 -> N, any shape. Cd 1.2, from 1.0 to 1.4, on the mouth area [HOERNER, memory].

    >>> round(drogue_drag_n(1.0, 100.0, 0.012668, 1.2, 1025.0))
    779
    """
    return 0.5 * density * drag_coefficient * cone_mouth_area_m2 * cones * speed_mps**2


def windage_area_m2(hull_length_m: Figure, beam_m: Figure, height_share: Figure, rig_share: Figure) -> Figure:
    """Area of hull and rig seen from astern: beam x height share x length + rig share x length^2.

    m -> m2, any shape. Used where the entry gives no windage. [assumed]

    >>> round(windage_area_m2(12.0, 3.84, 0.18, 0.05), 2)
    15.49
    """
    return beam_m * height_share * hull_length_m + rig_share * hull_length_m**2


def hull_drag_area_m2(displacement_kg: Figure, density: float) -> Figure:
    """Drag area of the hull moving slowly ahead: 0.05 x (D / rho)^(2/3). kg -> m2, any shape. [assumed]

    >>> round(hull_drag_area_m2(8200.0, 1025.0), 3)
    0.2
    """
    area: Figure = HULL_DRAG_SHARE * (displacement_kg / density) ** (2.0 / 3.0)
    return area


def water_drag_area_m2(
    cones: Figure, cone_mouth_area_m2: float, drag_coefficient: float, hull_area_m2: Figure
) -> Figure:
    """Drag area of drogue and hull together: Cd N a + hull. m2, any shape. [HOERNER, memory; assumed]

    >>> round(water_drag_area_m2(100.0, 0.0125, 1.2, 0.2), 6)
    1.7
    """
    return drag_coefficient * cone_mouth_area_m2 * cones + hull_area_m2


def drift_speed_mps(
    wind_speed: Figure, windage_m2: Figure, water_drag_area_m2: Figure, density: float
) -> Figure:
    """Speed at which the wind's push equals drogue plus hull drag: V = W q / (1 + q).

    q = sqrt(rho_air Ca A / (rho S)) with S the drag area of drogue (Cd N a) and hull together; the wind acts
    at its speed over the boat, W - V. Waves and current are left out. m/s, m2; any shape. [derived]

    >>> round(float(drift_speed_mps(25.7, 15.5, 1.72, 1025.0)), 2)
    2.42
    """
    q = np.sqrt(AIR_KG_M3 * AIR_DRAG_COEFFICIENT * windage_m2 / (density * water_drag_area_m2))
    speed: Figure = wind_speed * q / (1.0 + q)
    return speed


def boat_type_share(shares: Mapping[str, float], boat_type: CodeArray) -> FloatArray:
    """The share each boat's type has in one of the tables above; NaN where the type is blank."""
    table = np.array([shares[word] for word in CHOICES["boat_type"]] + [np.nan])
    return np.asarray(table[boat_type])


def windage_used_m2(
    given_m2: FloatArray, hull_length_m: FloatArray, beam_m: FloatArray, boat_type: CodeArray
) -> FloatArray:
    """Windage as entered, or an estimate where it is blank (NaN); a blank beam is estimated too. [assumed]"""
    beam = np.where(np.isnan(beam_m), boat_type_share(BEAM_SHARE, boat_type) * hull_length_m, beam_m)
    estimate = windage_area_m2(
        hull_length_m, beam, boat_type_share(HEIGHT_SHARE, boat_type), boat_type_share(RIG_SHARE, boat_type)
    )
    return np.where(np.isnan(given_m2), estimate, given_m2)
