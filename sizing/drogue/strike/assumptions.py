"""What the strike rests on, in one place: what is calibrated, assumed and left out, and what was measured.

Pages and documents print this; the values themselves stand once, in the registry of the inputs
(`sizing.drogue.strike.rig`) and in the table of what is sampled (`sizing.drogue.strike.sampled`).
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Final

from sizing.drogue.strike.rig import StrikeRigs, about

CONSTANTS: Final = (
    "slope_rad", "crest_speed_m_s", "wave_length_m", "face_run_m", "crest_run_m", "hull_drag_coefficient",
    "surge_mass_factor", "cone_drag_coefficient", "backward_drag_factor", "cone_entrained_mass_kg",
    "element_drag_coefficient", "end_drag_coefficient", "loss_time_s", "water_density_kg_m3",
)  # fmt: skip
"""Inputs that are the same on every boat, in the order in which they are told."""

CALIBRATION: Final = (
    "One value is fitted: the slope of the wave's face, so that the strike on the boat of 7,500 lb gives the "
    "published design load. Her rig there is sized by the published load alone, which takes 0.60 of the "
    "breaking strength of the program's own rope; every other input is nominal. All other figures are "
    "predictions, and are printed as they come out."
)

LEFT_OUT: Final = (
    "sag and depth of the line",
    "the motion of the water round the cones",
    "pitch and yaw of the boat",
    "wind",
    "hull resistance on the face and after the crest",
    "drag and added mass of the bare rope",
    "flutter and collapse of cones, and the closing in of water when a cone turns inside out",
    "the curve of load against stretch of nylon, what it loses in a cycle, and what water does to it: one "
    "stiffness stands for all",
    "the parting of the line: it never parts here",
)


@dataclass(frozen=True)
class Constant:
    """One value that is the same on every boat: `name` as in StrikeRigs, SI in `unit`, tag, meaning."""

    name: str
    value: float
    unit: str
    source: str
    meaning: str


@dataclass(frozen=True)
class Told:
    """A sentence for readers with its source tag."""

    text: str
    source: str


ALSO_ASSUMED: Final = (
    Told("The water a cone carries goes with the cube of its mouth.", "[assumed]"),
    Told("A single device carries half a sphere of water on its mouth, from the first.", "[assumed]"),
    Told(
        "Both legs of the bridle pull as one line along the centreline, of twice the stiffness of a leg.",
        "[derived]",
    ),
    Told("The cones of a section stand at whole pitches from its head.", "[derived]"),
)
"""What is taken for granted beside the constants."""

MEASURED: Final = (
    Told(
        "Of two measured model runs the greatest load was about equal to the displacement in one, and less "
        "than half of it in the other.",
        "[CG87 3.2.4]",
    ),
    Told(
        "Behind a lifeboat of 44 ft in waves of 12 to 14 ft on a bar the greatest pull was about 2,500 lbf.",
        "[CG87 4.4]",
    ),
    Told(
        "The design load stands for the worst waves of one storm; it would be met rarely if at all, perhaps "
        "once or twice in the life of the equipment. It is an upper bound of strikes, not a middle one.",
        "[CG87 6.2]",
    ),
)
"""What the source says of loads on drogues, beside which the simulated ones are to be seen."""


def constants() -> tuple[Constant, ...]:
    """The constants of the strike with value, unit, source tag and meaning.

    >>> constants()[6].name, constants()[6].value, constants()[6].source
    ('surge_mass_factor', 1.05, '[assumed]')
    """
    registry = {column.name: about(column) for column in fields(StrikeRigs)}
    return tuple(
        Constant(name, float(entry.default or 0.0), entry.unit, f"[{entry.tag}]", entry.meaning)
        for name in CONSTANTS
        for entry in [registry[name]]
    )
