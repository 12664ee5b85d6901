"""The cone line in sections that step down in diameter: the lightest that is strong enough everywhere.

Tension at a section's head is the design load times the share of cones outboard of it [CG87 2; derived]. A
thinner rope is allowed from the first cone on where it is strong enough, and using it there at once is always
lightest, so the exact optimum is found by trying every choice of ropes: the first rope is the thinnest that
holds the whole load, and the second and third are any thinner pair. Boats are grouped by their first rope and
computed together.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from sizing.catalogue import Ropes
from sizing.drogue.envelope import BoatEnvelopes, TensionEnvelope
from sizing.drogue.figures import Figure
from sizing.drogue.hardware import smallest_enough
from sizing.drogue.loads import required_strength_n
from sizing.model import BoolArray, FloatArray, IntArray

MOST_SECTIONS = 3
_AT_ONCE = 4096  # boats whose columns stay in the processor's cache while all plans are tried


@dataclass(frozen=True)
class SectionRules:
    """What a cone line must keep to: strength shares, lengths in m, and how many sections it may have.

    `strength_use` is the share of new strength the load may take, `residual_share` the share left in service.
    """

    strength_use: float
    residual_share: float
    cone_pitch_m: float
    first_cone_offset_m: float
    eye_splice_rope_m: float
    least_diameter_m: float
    max_sections: int


@dataclass(frozen=True)
class SectionPlan:
    """Sections of n boats, (n, 3), section 0 nearest the boat; one not used has rope -1 and zeros.

    `lead_rope` (n,) also serves the bridle. Rope is -1 throughout where no rope is strong enough.
    """

    lead_rope: IntArray
    rope: IntArray
    cones: IntArray
    length_m: FloatArray
    cut_m: FloatArray
    tension_n: FloatArray


def section_tension_n(design_load: Figure, cones_outboard: Figure, cones: Figure) -> Figure:
    """Steady share of the design load at a section's head: F x cones outboard / N. N, any shape. [derived]

    >>> section_tension_n(90_000.0, 30.0, 90.0)
    30000.0
    """
    return design_load * cones_outboard / cones


def section_lengths_m(section_cones: IntArray, cone_pitch_m: float, first_cone_offset_m: float) -> FloatArray:
    """Finished length of each section between its eyes; (n, 3), 0 where unused.

    Joints lie half a pitch from the cones beside them; the last section also has the length from the end
    thimble to the first cone. They add up to N x pitch + offset. m. [derived]
    """
    used = section_cones > 0
    last = used & ~np.pad(used, ((0, 0), (0, 1)))[:, 1:]
    length = section_cones * cone_pitch_m
    length[:, 0] += 0.5 * cone_pitch_m
    return np.asarray(
        np.where(last, length - 0.5 * cone_pitch_m + first_cone_offset_m, np.where(used, length, 0.0))
    )


def plan_sections(
    design_load_n: FloatArray,
    cones: FloatArray,
    ropes: Ropes,
    rules: SectionRules,
    envelope: TensionEnvelope | None = None,
) -> SectionPlan:
    """Return the lightest cone line of at most `rules.max_sections` sections for each of n boats.

    `design_load_n` and `cones` (whole, at least 1) have shape (n,); NaN gives rope -1. With an `envelope` the
    residual strength of every section, lead line and bridle also reaches the strike's tension.
    [CG87 6.3; derived]
    """
    boats = len(design_load_n)
    envelopes = None if envelope is None else envelope.for_boats(boats)
    head = required_strength_n(design_load_n, rules.strength_use, rules.residual_share)
    lead = head
    if envelopes is not None:
        load = design_load_n / rules.residual_share
        head = np.maximum(head, envelopes.multiples[:, 0] * load)
        lead = np.maximum(head, envelopes.lead * load)
    lead_rope = _rope_for(lead, ropes, rules)
    first_rope = np.where(lead_rope >= 0, _rope_for(head, ropes, rules), -1)
    rope = np.full((boats, MOST_SECTIONS), -1, dtype=np.int64)
    start = np.zeros((boats, MOST_SECTIONS + 1), dtype=np.int64)
    for first in np.unique(first_rope[first_rope >= 0]):
        chosen = first_rope == first
        rope[chosen], start[chosen] = _group(
            int(first), chosen, design_load_n, cones, ropes, rules, envelopes
        )
    return _finish(lead_rope, rope, start, design_load_n, cones, rules)


def _rope_for(strength: FloatArray, ropes: Ropes, rules: SectionRules) -> IntArray:
    thinnest = int(smallest_enough(ropes.diameter_m, np.array([rules.least_diameter_m]))[0])
    rope = smallest_enough(ropes.minimum_strength_n, strength)
    return np.where((rope < 0) | (thinnest < 0), -1, np.maximum(rope, thinnest))


def _first_allowed(
    candidates: IntArray,
    chosen: BoolArray,
    design_load_n: FloatArray,
    cones: FloatArray,
    ropes: Ropes,
    rules: SectionRules,
    envelopes: BoatEnvelopes | None,
) -> IntArray:
    """Fewest cones inboard of a section's head from which each candidate rope is strong enough; (k, r)."""
    whole_load = required_strength_n(design_load_n, rules.strength_use, rules.residual_share)
    share = ropes.minimum_strength_n[candidates] / whole_load[:, None]
    outboard = np.floor(share * cones[:, None] + 1e-9)
    first = np.maximum(cones[:, None] - outboard, 1.0).astype(np.int64)
    if envelopes is None:
        return first
    residual = ropes.minimum_strength_n[candidates] * rules.residual_share / design_load_n[:, None]
    return np.maximum(first, envelopes.first_cone_held(residual, cones, chosen))


def _group(
    first: int,
    chosen: BoolArray,
    all_loads_n: FloatArray,
    all_cones: FloatArray,
    ropes: Ropes,
    rules: SectionRules,
    envelopes: BoatEnvelopes | None,
) -> tuple[IntArray, IntArray]:
    """Best ropes (k, 3) and first cones (k, 4) of the boats whose first rope is `first`.

    Mass of a plan as cut is linear in where its joints lie: with joints after k1 and k2 cones
    M = k1 p (m0 - m1) + k2 p (m1 - m2) + N p m2 + terms of the ropes alone.
    """
    loads, cones = all_loads_n[chosen], all_cones[chosen]
    thinnest = int(np.searchsorted(ropes.diameter_m, rules.least_diameter_m * (1.0 - 1e-9)))
    candidates = np.arange(thinnest, first)
    plans = [(first, -1, -1)]
    best_plan = np.zeros(len(cones), dtype=np.int64)
    first_cone = np.empty((len(ropes), len(cones)))
    if rules.max_sections > 1 and candidates.size:
        allowed = _first_allowed(candidates, chosen, loads, cones, ropes, rules, envelopes)
        first_cone[candidates] = np.where(allowed < cones[:, None], allowed, np.inf).T
        plans += [(first, second, -1) for second in candidates[::-1]]
        if rules.max_sections == MOST_SECTIONS:
            plans += [(first, b, c) for b in candidates[::-1] for c in candidates[::-1] if c < b]
        for begin in range(0, len(cones), _AT_ONCE):
            part = slice(begin, begin + _AT_ONCE)
            best_plan[part] = _lightest(plans, first_cone[:, part], cones[part], ropes, rules)
    rope = np.array(plans, dtype=np.int64)[best_plan]
    start = np.zeros((len(cones), MOST_SECTIONS + 1), dtype=np.int64)
    start[:, MOST_SECTIONS] = cones
    boat = np.arange(len(cones))
    for place in (1, 2):
        used = rope[:, place] >= 0
        start[:, place] = cones
        start[used, place] = first_cone[rope[used, place], boat[used]]
    return rope, start


def _lightest(
    plans: Sequence[tuple[int, int, int]],
    first_cone: FloatArray,
    cones: FloatArray,
    ropes: Ropes,
    rules: SectionRules,
) -> IntArray:
    """Position of each boat's lightest plan; `first_cone` (ropes, k) is infinite where a rope never holds.

    A thinner rope never holds earlier than a thicker one, and a section without cones only adds the mass of
    its eyes, so a plan with one is never the lightest.
    """
    pitch = rules.cone_pitch_m
    eyes = 2.0 * rules.eye_splice_rope_m
    tail = rules.first_cone_offset_m - 0.5 * pitch + eyes
    line = cones * pitch
    mass = [float(m) for m in ropes.mass_kg_per_m]
    best_mass = mass[plans[0][0]] * (line + rules.first_cone_offset_m + eyes)
    best = np.zeros(len(cones), dtype=np.int64)
    for number, (a, b, c) in enumerate(plans[1:], start=1):
        last = b if c < 0 else c
        plan = first_cone[b] * (pitch * (mass[a] - mass[b]))
        plan += mass[last] * line
        fixed = mass[a] * (0.5 * pitch + eyes) + mass[last] * tail
        if c >= 0:
            plan += first_cone[c] * (pitch * (mass[b] - mass[c]))
            fixed += mass[b] * eyes
        plan += fixed
        better = plan < best_mass
        np.copyto(best_mass, plan, where=better)
        np.copyto(best, number, where=better)
    return best


def _finish(
    lead_rope: IntArray,
    rope: IntArray,
    start: IntArray,
    design_load_n: FloatArray,
    cones: FloatArray,
    rules: SectionRules,
) -> SectionPlan:
    used = rope >= 0
    held = np.diff(start, axis=1)
    length = section_lengths_m(held, rules.cone_pitch_m, rules.first_cone_offset_m)
    cut = np.where(used, length + 2.0 * rules.eye_splice_rope_m, 0.0)
    outboard = cones[:, None] - start[:, :MOST_SECTIONS]
    tension = np.where(used, section_tension_n(design_load_n[:, None], outboard, cones[:, None]), 0.0)
    return SectionPlan(lead_rope, rope, held, length, cut, tension)
