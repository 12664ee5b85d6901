"""The rigs to be struck, as columns over boats or samples, and the check that each one can be computed.

The metadata of :class:`StrikeRigs` is the one registry of the inputs: unit, bounds, default, source tag and
meaning.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import Field, dataclass, field, fields
from typing import Any, cast

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sizing.drogue.strike.line import INPUTS, RIG, SECTIONS
from sizing.drogue.strike.model import (
    DEFAULT_SLOPE_RAD,
    REFERENCE_CREST_SPEED_M_S,
    STANDARD_GRAVITY_M_S2,
    FloatArray,
    deep_water_crest_speed_m_s,
)
from sizing.errors import ComputationError

CREST_SPEED_LOW, CREST_SPEED_HIGH = 0.5, 1.5


@dataclass(frozen=True)
class Bounds:
    """What one input means and which values can be computed."""

    unit: str
    low: float
    high: float
    tag: str
    meaning: str
    default: float | None = None
    only_with: str = ""


def _about(
    unit: str,
    low: float,
    high: float,
    tag: str,
    meaning: str,
    default: float | None = None,
    only_with: str = "",
) -> dict[str, Bounds]:
    return {"about": Bounds(unit, low, high, tag, meaning, default, only_with)}


@dataclass(frozen=True, eq=False)
class StrikeRigs:
    """Columns of n boats (or samples), shape (n,), the section columns (n, 3); build it with :func:`rigs`.

    The three sections run from the lead line outboard; a section of length 0 is not there. Nothing is
    checked here: :func:`problems` does, so that one impossible boat does not stop the others.
    """

    displacement_kg: FloatArray = field(metadata=_about("kg", 50.0, 1e6, "", "loaded passage displacement"))
    surge_mass_factor: FloatArray = field(
        metadata=_about(
            "",
            1.0,
            2.0,
            "assumed",
            "mass of the boat with the water that surges with her, over displacement",
            1.05,
        )
    )
    crest_speed_m_s: FloatArray = field(
        metadata=_about("m/s", 1.0, 40.0, "CG87 6.2", "speed of the crest", REFERENCE_CREST_SPEED_M_S)
    )
    wave_length_m: FloatArray = field(
        metadata=_about(
            "m",
            1.0,
            1000.0,
            "CG87 6.2",
            "length of the wave; a quarter of it is the reach of its face",
            300 * 0.3048,
        )
    )
    slope_rad: FloatArray = field(
        metadata=_about(
            "rad", 0.0, 1.0, "calibrated on CG87 6.2", "slope of the wave's face", DEFAULT_SLOPE_RAD
        )
    )
    hull_drag_coefficient: FloatArray = field(
        metadata=_about(
            "",
            0.0,
            5.0,
            "assumed",
            "drag of the hull in the crest's water, on (displacement / density)^(2/3)",
            0.3,
        )
    )
    face_run_m: FloatArray = field(
        metadata=_about(
            "m", 0.0, 50.0, "assumed", "run of the wave past the boat while its face pushes her", 3.0
        )
    )
    crest_run_m: FloatArray = field(
        metadata=_about("m", 0.0, 100.0, "assumed", "its further run while the crest's water drives her", 6.0)
    )
    slack_m: FloatArray = field(metadata=_about("m", 0.0, 200.0, "", "slack at the boat at the start", 0.0))
    bridle_length_m: FloatArray = field(
        metadata=_about("m", 0.0, 100.0, "", "bridle along the pull; 0 for none", 0.0)
    )
    bridle_ea_n: FloatArray = field(
        metadata=_about("N", 1e3, 1e10, "", "EA of both bridle legs together", 0.0, "bridle_length_m")
    )
    bridle_mass_kg_per_m: FloatArray = field(
        metadata=_about("kg/m", 1e-3, 100.0, "", "mass of both bridle legs together", 0.0, "bridle_length_m")
    )
    lead_length_m: FloatArray = field(metadata=_about("m", 0.0, 1000.0, "", "bare lead line"))
    lead_ea_n: FloatArray = field(
        metadata=_about("N", 1e3, 1e10, "UFC", "EA of the lead line", 0.0, "lead_length_m")
    )
    lead_mass_kg_per_m: FloatArray = field(
        metadata=_about("kg/m", 1e-3, 100.0, "", "its mass", 0.0, "lead_length_m")
    )
    section_length_m: FloatArray = field(metadata=_about("m", 0.0, 1000.0, "", "length of each section", 0.0))
    section_cones: FloatArray = field(metadata=_about("cones", 0.0, 1000.0, "", "cones on each section", 0.0))
    section_ea_n: FloatArray = field(
        metadata=_about("N", 1e3, 1e10, "UFC", "EA of each section", 0.0, "section_length_m")
    )
    section_mass_kg_per_m: FloatArray = field(
        metadata=_about("kg/m", 1e-3, 100.0, "", "its mass", 0.0, "section_length_m")
    )
    cone_mouth_area_m2: FloatArray = field(
        metadata=_about("m2", 1e-4, 1.0, "CG87 4.1.1", "mouth area of a cone (5 in)", np.pi * 0.127**2 / 4)
    )
    cone_pitch_m: FloatArray = field(metadata=_about("m", 0.05, 10.0, "CG87 4.1.1", "mouth to mouth", 0.508))
    cone_entrained_mass_kg: FloatArray = field(
        metadata=_about("kg", 1e-3, 1e3, "assumed", "a 5 in cone with the water it carries", 1.5)
    )
    cone_drag_coefficient: FloatArray = field(
        metadata=_about("", 0.1, 5.0, "HOERNER, memory", "drag of a cone on its mouth area", 1.2)
    )
    backward_drag_factor: FloatArray = field(
        metadata=_about("", 0.0, 1.0, "assumed", "drag of a cone pulled backward over that forward", 0.3)
    )
    end_weight_kg: FloatArray = field(metadata=_about("kg", 0.0, 1000.0, "CG87 6.3", "end weight", 0.0))
    end_drag_coefficient: FloatArray = field(
        metadata=_about("", 0.0, 5.0, "assumed", "drag of the end weight, on (mass / 7850 kg/m3)^(2/3)", 1.0)
    )
    element_diameter_m: FloatArray = field(
        metadata=_about("m", 0.0, 50.0, "", "mouth of a single cone or parachute at the end; 0 for none", 0.0)
    )
    element_drag_coefficient: FloatArray = field(
        metadata=_about("", 0.1, 5.0, "HOERNER, memory", "drag of a single device on its mouth area", 1.2)
    )
    element_entrained_mass_kg: FloatArray = field(
        metadata=_about("kg", 0.0, 1e6, "assumed", "a single device with the water it carries", 0.0)
    )
    loss_time_s: FloatArray = field(
        metadata=_about("s", 0.0, 0.05, "assumed", "damping of the line over its stiffness", 1e-4)
    )
    water_density_kg_m3: FloatArray = field(
        metadata=_about("kg/m3", 900.0, 1100.0, "TEOS-10", "sea water", 1025.0)
    )
    gravity_m_s2: FloatArray = field(
        metadata=_about("m/s2", 9.7, 9.9, "", "standard gravity", STANDARD_GRAVITY_M_S2)
    )

    def __len__(self) -> int:
        return len(self.displacement_kg)

    def take(self, which: slice | NDArray[np.int64]) -> StrikeRigs:
        """The boats ``which``, in that order."""
        return StrikeRigs(**{f.name: getattr(self, f.name)[which] for f in fields(self)})

    def rows(self) -> NDArray[np.void]:
        """The boats as the compiled code reads them, one record of RIG each."""
        found = np.zeros(len(self), dtype=RIG)
        for name in INPUTS:
            found[name] = getattr(self, name)
        return found


_WIDE = ("section_length_m", "section_cones", "section_ea_n", "section_mass_kg_per_m")


def about(column: Field[Any]) -> Bounds:
    """The registry's entry for a field of StrikeRigs."""
    return cast(Bounds, column.metadata["about"])


def element_water_kg(diameter_m: FloatArray, density_kg_m3: FloatArray) -> FloatArray:
    """Water that a single device carries: half a sphere on its mouth, rho pi d^3 / 12. m -> kg. [assumed]"""
    return np.asarray(density_kg_m3 * np.pi * diameter_m**3 / 12.0)


def rigs(**columns: ArrayLike) -> StrikeRigs:
    """Rigs from columns or single values, each spread over all boats; a section column is (3,) or (n, 3).

    Columns left out take the default in the registry; a single drag element given no entrained mass takes
    that of `element_water_kg`.
    """
    known = {f.name: f for f in fields(StrikeRigs)}
    for name in columns:
        if name not in known:
            raise TypeError(f"no strike input is called {name}; there are: {', '.join(known)}")
    values: dict[str, FloatArray] = {}
    n = 1
    for name, f in known.items():
        given = columns.get(name, about(f).default)
        if given is None:
            raise TypeError(f"strike input {name} must be given ({about(f).meaning})")
        array = np.asarray(given, dtype=np.float64)
        if name in _WIDE and array.ndim < 2:
            array = np.broadcast_to(array, (1, SECTIONS))
        elif array.ndim == 0:
            array = array.reshape(1)
        values[name] = array
        if len(array) != 1:
            n = len(array)
    if "element_entrained_mass_kg" not in columns:
        with np.errstate(over="ignore", invalid="ignore"):
            values["element_entrained_mass_kg"] = element_water_kg(
                values["element_diameter_m"], values["water_density_kg_m3"]
            )
    return StrikeRigs(
        **{
            name: np.array(np.broadcast_to(a, (n, SECTIONS) if name in _WIDE else (n,)))
            for name, a in values.items()
        }
    )


def problems(boats: StrikeRigs, labels: Sequence[str] | None = None) -> tuple[ComputationError | None, ...]:
    """For each boat what forbids computing her strike, naming boat and quantities, or None."""
    found: dict[int, list[tuple[str, str]]] = {}

    def note(bad: NDArray[np.bool_], text: str, values: FloatArray | None, expected: str) -> None:
        for i in np.flatnonzero(bad):
            says = text if values is None else f"{text} is {values[i]:g}"
            found.setdefault(int(i), []).append((says, expected))

    with np.errstate(invalid="ignore", over="ignore", divide="ignore"):
        for f in fields(boats):
            low, high, unit, need = about(f).low, about(f).high, about(f).unit, about(f).only_with
            values = getattr(boats, f.name)
            present = getattr(boats, need) > 0.0 if need else np.ones(values.shape, dtype=bool)
            bad = present & ~((values >= low) & (values <= high))
            expected = f"{low:g} to {high:g} {unit}".strip()
            if values.ndim == 1:
                note(bad, f.name, values, expected)
            else:
                for j in range(SECTIONS):
                    note(bad[:, j], f"{f.name} of section {j + 1}", values[:, j], expected)
        cones, length = boats.section_cones, boats.section_length_m
        for j in range(SECTIONS):
            name = f"section_cones of section {j + 1}"
            note(cones[:, j] != np.floor(cones[:, j]), name, cones[:, j], "a whole number of cones")
            # A joint lies half a pitch from the cones beside it, so an outer section may lack half a pitch.
            needed = (cones[:, j] - 0.5) * boats.cone_pitch_m
            note(
                length[:, j] < needed * (1.0 - 1e-9),
                f"section_length_m of section {j + 1}",
                length[:, j],
                "at least cone_pitch_m times its cones less a half",
            )
        note(
            (cones.sum(axis=1) <= 0.0) & (boats.element_diameter_m <= 0.0),
            "section_cones and element_diameter_m are both 0",
            None,
            "cones on a section, or one drag element at the end",
        )
        note(
            boats.lead_length_m + length.sum(axis=1) <= 0.0,
            "lead_length_m and section_length_m are all 0",
            None,
            "a line between boat and drogue",
        )
        ratio = boats.crest_speed_m_s / deep_water_crest_speed_m_s(boats.wave_length_m)
        note(
            (ratio < CREST_SPEED_LOW) | (ratio > CREST_SPEED_HIGH),
            "crest_speed_m_s over the deep-water speed for wave_length_m",
            ratio,
            f"{CREST_SPEED_LOW} to {CREST_SPEED_HIGH}",
        )
    return tuple(
        ComputationError(
            where=named(labels, i),
            found="; ".join(text for text, _ in found[i]),
            expected="; ".join(expected for _, expected in found[i]),
            mend="correct these figures in her entry",
        )
        if i in found
        else None
        for i in range(len(boats))
    )


def named(labels: Sequence[str] | None, i: int) -> str:
    """How boat ``i`` is called in a message."""
    return f"wave strike of {labels[i]}" if labels is not None else f"wave strike of boat {i + 1}"
