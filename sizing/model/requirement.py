"""What a boat needs, and how each figure was worked out."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Final

import numpy as np

from sizing.model.arrays import BoolArray, CodeArray, FloatArray, IntArray


@dataclass(frozen=True)
class Working:
    """How one figure was worked out, for a reader to follow.

    `inputs` are (name, SI value, dimension); `dimension` of the value is one of the display dimensions of
    `sizing.units` ("length", "mass", "force", "area", "count", "speed", "angle", "ratio", "time" ...).
    """

    id: str
    title: str
    value: float
    dimension: str
    formula: str
    inputs: tuple[tuple[str, float, str], ...]
    source: str
    range_mark: str = ""


OUTSIDE_RANGE: Final = "outside the published range"
OUTSIDE_HULL: Final = "hull type outside the source"

CHOSEN_BY: Final = (
    "the published load alone",
    "the published load and a single strike",
    "the published load and the 90th percentile of varied strikes",
)
"""By what new gear is chosen: no wave was simulated; only one, or her spread is not known; all were."""


RANGE_MARKS: Final = MappingProxyType({-1: "below", 0: "inside", 1: "above"})
"""Codes of `range_mark`: her displacement against the published range."""
HULL_MARKS: Final = MappingProxyType({0: "inside", 1: "outside"})
"""Codes of `hull_mark`: her hull type against those that the source is about."""
MARKS: Final = frozenset({"range_mark", "hull_mark"})
"""Columns that say what figures rest on, and are no figures: 0 where she has none."""


@dataclass(frozen=True)
class RequirementColumns:
    """What each accepted boat needs, as columns over the fleet (n boats, s = 3 sections at most, SI units).

    `not_computed` maps boat row -> reason; her figures are NaN (or -1) and are never to be shown as numbers.
    `range_mark` is 0 inside the published displacement range, -1 below it, +1 above it; `hull_mark` is 0 for
    a sailing monohull, 1 for a hull type that the source leaves out. Both are 0 where she has no figures.
    Section 0 is nearest the boat; a section not used has 0 cones, 0 length and rope -1.
    Rope, shackle, thimble and cloth columns are positions in the catalogue's tables.

    Published loads: `design_load_n` on the bridle, and so on one of its legs, on lead line, shackles and
    thimbles; `attachment_load_n` on each attachment; `section_tension_n` at each section's head. The loads
    that new gear is chosen for are `chosen_load_n`, `chosen_attachment_n` and `chosen_section_n` of the same
    parts: the larger of the published load and of what the strike asks for, as `chosen_by` says: a code of
    `CHOSEN_BY`, -1 for a boat not computed. `line_strength_required_n` is the new strength that the published
    load asks of a line; `chosen_strength_n` that by which new line and shackles are chosen.

    Where the width of a boat's transom is not known, her bridle waits, and with it what her bag weighs and
    holds: `bridle_leg_m`, `bridle_leg_cut_m`, `stowed_mass_kg` and `stowed_volume_m3` are NaN, all else is
    worked out.

    Drift has a middle figure and the ends of its range; room to leeward is reckoned with `drift_high_mps`.
    """

    not_computed: Mapping[int, str]
    range_mark: CodeArray
    hull_mark: CodeArray
    displacement_used_kg: FloatArray
    equivalent_diameter_m: FloatArray
    mouth_area_required_m2: FloatArray
    cone_mouth_m: FloatArray
    cones: IntArray
    design_load_n: FloatArray
    line_strength_required_n: FloatArray
    lead_rope: IntArray
    lead_length_m: FloatArray
    lead_cut_m: FloatArray
    section_rope: IntArray
    section_cones: IntArray
    section_length_m: FloatArray
    section_cut_m: FloatArray
    section_tension_n: FloatArray
    line_length_m: FloatArray
    bridle_rope: IntArray
    bridle_leg_m: FloatArray
    bridle_leg_cut_m: FloatArray
    attachment_load_n: FloatArray
    shackle: IntArray
    thimble: IntArray
    end_weight_kg: FloatArray
    wind_speed_mps: FloatArray
    drift_low_mps: FloatArray
    drift_speed_mps: FloatArray
    drift_high_mps: FloatArray
    cloth_areal_mass_kg_m2: FloatArray
    stowed_mass_kg: FloatArray
    stowed_volume_m3: FloatArray
    labour_hours: FloatArray
    windage_used_m2: FloatArray
    air_drag_area_m2: FloatArray
    cloth: IntArray
    chosen_load_n: FloatArray
    chosen_attachment_n: FloatArray
    chosen_section_n: FloatArray
    chosen_strength_n: FloatArray
    chosen_by: CodeArray

    def __len__(self) -> int:
        return len(self.cones)

    @property
    def bridle_waits(self) -> BoolArray:
        """Boats with figures whose bridle is not known yet, (n,)."""
        return np.asarray(np.isnan(self.bridle_leg_m) & np.isfinite(self.design_load_n))


BY_THE_BRIDLE: Final = frozenset({"bridle_leg_m", "bridle_leg_cut_m", "stowed_mass_kg", "stowed_volume_m3"})
"""Figures that wait where the width of the transom is not known."""


@dataclass(frozen=True)
class Section:
    """One section of the cone line, or the lead line (cones = 0, no small end).

    `small_end_m` is that of its cones, which go over its rope.
    """

    name: str
    rope_id: str
    diameter_m: float
    cones: int
    length_m: float
    cut_length_m: float
    head_tension_n: float
    strength_n: float
    small_end_m: float = math.nan


@dataclass(frozen=True)
class Requirement:
    """What one boat needs, each figure with its working."""

    row: int
    reason_not_computed: str
    range_mark: int
    hull_mark: int
    sections: tuple[Section, ...]
    workings: tuple[Working, ...]
    figures: Mapping[str, float]

    @property
    def marks(self) -> tuple[str, ...]:
        """What to say in short beside every figure of hers that comes from the source; none if it is hers."""
        said = (OUTSIDE_RANGE, bool(self.range_mark)), (OUTSIDE_HULL, bool(self.hull_mark))
        return tuple(words for words, outside in said if outside)


@dataclass(frozen=True)
class HoldColumns:
    """How a rig holds its boat in the single strike, as columns; NaN where not computed or not reached.

    Times count from the moment the crest takes her at its own speed, the slack still in the line.
    `speed_mps` and `distance_m` are (n, 3): her speed and the distance run after 1, 2 and 4 s; `crest_s` the
    time until the wave has passed her. `carried`: the wave does not pass, she runs ahead of it.
    """

    speed_mps: FloatArray
    distance_m: FloatArray
    crest_s: FloatArray
    carried: BoolArray


@dataclass(frozen=True)
class StrikeColumns:
    """The wave strike on each boat's required rig (or the gear aboard), as columns; NaN where not computed.

    `head_peak_n` is (n, 4): greatest tension at the head of the lead line and of sections 0 to 2;
    `head_p90_n` the load there that nine in ten of the varied strikes stay below. `peak_quantiles_n` is
    (n, q): ascending peaks of the varied strikes, each standing for an equal share of the `samples`, 0 where
    none were run. `share_above` maps a part's name to the share of sampled strikes above its residual
    strength, `share_above_published` to that above its published load; `sensitivity` maps an input's name to
    its share in the spread of the peak (shares sum to 1). `history` maps a boat's row to (time s, bridle load
    N, boat speed m/s); `not_sampled` a boat's row to the reason why her strike has no spread.

    `hold` is how this rig holds her, also where the wave carries her along. `hold_required` is, beside the
    gear aboard, the same of what she needs: the rig of cones, or beside a single device a single device.
    """

    not_computed: Mapping[int, str]
    peak_n: FloatArray
    peak_time_s: FloatArray
    boat_speed_mps: FloatArray
    distance_m: FloatArray
    head_peak_n: FloatArray
    median_n: FloatArray
    p90_n: FloatArray
    head_p90_n: FloatArray
    peak_quantiles_n: FloatArray
    samples: int
    share_above: Mapping[str, FloatArray]
    share_above_published: Mapping[str, FloatArray]
    sensitivity: Mapping[str, FloatArray]
    history: Mapping[int, tuple[FloatArray, FloatArray, FloatArray]]
    hold: HoldColumns
    hold_required: HoldColumns | None = None
    not_sampled: Mapping[int, str] = field(default_factory=dict)


@dataclass(frozen=True)
class RideColumns:
    """Lying to the drogue in the policy's regular sea, on each boat's required rig; NaN where not computed.

    Loads at the bridle, N. `slack_share` is the share of time without load; `working_share` the greatest load
    over the lead line's new strength; `storm_hours` how long one storm's load cycles last.
    """

    not_computed: Mapping[int, str]
    greatest_n: FloatArray
    least_n: FloatArray
    mean_n: FloatArray
    slack_share: FloatArray
    cycles_per_hour: FloatArray
    working_share: FloatArray
    storm_hours: FloatArray
