"""What the drogue weighs in its bag, dry and without the end weight, and the room it takes."""

from __future__ import annotations

import math
from typing import Final

import numpy as np

from sizing.drogue.figures import Figure

ROPE_PACKING: Final = 0.5
"""Share of a bag that flaked rope fills [assumed]."""

CONE_BULK_KG_M3: Final = 100.0
"""Mass of cones and tapes, loosely stuffed, by volume [assumed]."""


def fittings_mass_kg(thimbles_kg: Figure, shackles_kg: Figure) -> Figure:
    """Mass of metal on the line: thimbles + shackles of all joints. kg, any shape. [derived]

    >>> fittings_mass_kg(2.0, 2.5)
    4.5
    """
    return thimbles_kg + shackles_kg


def stowed_mass_kg(rope_kg: Figure, cones_kg: Figure, fittings_kg: Figure) -> Figure:
    """Mass in the bag, dry, without the end weight: rope + cones with tapes + fittings. kg. [derived]

    >>> stowed_mass_kg(20.0, 2.0, 4.0)
    26.0
    """
    return rope_kg + cones_kg + fittings_kg


def stowed_volume_m3(rope_m3: Figure, cones_m3: Figure) -> Figure:
    """Room in the bag: rope + cones; the fittings lie within the rope. m3, any shape. [assumed]

    >>> stowed_volume_m3(0.0625, 0.03125)
    0.09375
    """
    return rope_m3 + cones_m3


def bags_needed(stowed_kg: Figure, limit_kg: float) -> Figure:
    """Bags so that none is too heavy to handle: ceil(stowed mass / limit). kg -> count, any shape. [derived]

    The bags are taken to weigh alike [assumed]. NaN where the mass is not known.

    >>> bags_needed(68.0, 50.0), bags_needed(50.0, 50.0)
    (2.0, 1.0)
    """
    needed = np.ceil(stowed_kg / limit_kg)
    return needed if isinstance(stowed_kg, np.ndarray) else float(needed)


def rope_volume_m3(length_m: Figure, diameter_m: Figure) -> Figure:
    """Room one piece of rope takes, flaked: pi/4 d^2 L / 0.5. m -> m3, any shape. [assumed]

    >>> round(rope_volume_m3(100.0, 0.020), 4)
    0.0628
    """
    return math.pi / 4.0 * diameter_m**2 * length_m / ROPE_PACKING


def cones_volume_m3(cones_mass_kg: Figure) -> Figure:
    """Room cones and tapes take: mass / 100 kg/m3. kg -> m3, any shape. [assumed]

    >>> cones_volume_m3(2.0)
    0.02
    """
    return cones_mass_kg / CONE_BULK_KG_M3
