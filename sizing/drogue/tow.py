"""Steady tow, and the speed a boat drifts at when she lies to her drogue."""

from __future__ import annotations

from typing import Final

import numpy as np

from sizing.drogue.density import AIR_KG_M3
from sizing.drogue.figures import Figure

HULL_DRAG_SHARE: Final = 0.05
"""Drag area of the hull moving slowly ahead, over the two-thirds power of her volume [assumed]."""


def drogue_drag_n(
    speed_mps: Figure, cones: Figure, cone_mouth_area_m2: float, drag_coefficient: float, density: float
) -> Figure:
    """Drag of a series drogue in a steady tow: 1/2 rho Cd N a V^2.

    m/s, m2, kg/m3 -> N, any shape. Cd 1.2, from 1.0 to 1.4, on the mouth area [HOERNER, memory].

    >>> round(drogue_drag_n(1.0, 100.0, 0.012668, 1.2, 1025.0))
    779
    """
    return 0.5 * density * drag_coefficient * cone_mouth_area_m2 * cones * speed_mps**2


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
    wind_speed: Figure, air_drag_area_m2: Figure, water_drag_area_m2: Figure, density: float
) -> Figure:
    """Speed at which the wind's push equals drogue plus hull drag: V = W q / (1 + q).

    q = sqrt(rho_air A / (rho S)), with A the drag area of hull and rig in the wind at 10 m and S that of
    drogue (Cd N a) and hull in the water; the wind acts at its speed over the boat, W - V. It is the speed
    through the water near the surface: waves are left out, and current, that of the wind among it, comes on
    top over the ground. m/s, m2; any shape. [derived]

    >>> round(float(drift_speed_mps(25.7, 5.83, 1.72, 1025.0)), 2)
    1.54
    """
    q = np.sqrt(AIR_KG_M3 * air_drag_area_m2 / (density * water_drag_area_m2))
    speed: Figure = wind_speed * q / (1.0 + q)
    return speed
