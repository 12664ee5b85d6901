"""The wave strike on every boat's rig: from the fleet's columns to the strike model and back.

One function builds the rigs of what each boat needs; the audit builds those of what she carries. Both go
through `strike_columns`, which strikes them from the same nominal inputs: those the slope was fitted with.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, fields, replace
from functools import partial
from typing import Any, Final, TypeVar

import numpy as np

from sizing.catalogue import Catalogue
from sizing.drogue.bridle import half_angle_rad
from sizing.drogue.drag import mouth_area_m2
from sizing.drogue.loads import attachment_load_n
from sizing.drogue.rig import at
from sizing.drogue.rope import new_residual_share
from sizing.drogue.strike import (
    INPUTS,
    EnsembleResult,
    Plan,
    Status,
    StrikeResult,
    StrikeRigs,
    element_water_kg,
    parts,
    rigs,
    run_ensembles,
    strike,
    strike_histories,
    with_nominal_slack,
)
from sizing.errors import ComputationError
from sizing.model import (
    BoolArray,
    FloatArray,
    HoldColumns,
    IntArray,
    RequirementColumns,
    StrikeColumns,
)
from sizing.policy import Policy
from sizing.samples import STRIKE_SAMPLES

STANDARD_MOUTH_M = 0.127
"""Mouth of the cone whose entrained water the policy gives [CG87 4.1.1]."""

CARRIED_ALONG = (
    "the simulated wave did not pass the boat, which ran ahead of it: this drogue cannot hold, and there is "
    "no peak to be given"
)
HISTORY_INTERVAL_S = 0.02
Columns = TypeVar("Columns", StrikeColumns, HoldColumns)
PART_HEADS: Mapping[str, int] = {
    "bridle leg": 0, "attachment": 0, "shackle": 0, "lead line": 1, "section 1": 2, "section 2": 3,
    "section 3": 4,
}  # fmt: skip


SHORTEST_LEG_M: Final = 2.5
"""Legs of a bridle that is not known yet, in the strike: of a transom of 1 m. Legs so short stretch less than
any she may get, so the rest of her rig is not chosen too weak [assumed]."""


@dataclass(frozen=True)
class StrikePlan:
    """How much is computed: samples a boat (0 for none), whether time histories, and where it runs.

    `scheduler` is the address of a dask scheduler, or None for this machine. Lying to the drogue in a
    regular sea is simulated where strikes are varied.
    """

    samples: int = STRIKE_SAMPLES
    histories: bool = True
    scheduler: str | None = None


@dataclass(frozen=True)
class PartStrengths:
    """Residual strength of each part, N, (n,) each; NaN where a boat has no such part or it is not known."""

    by_part: Mapping[str, FloatArray]

    def take(self, rows: IntArray) -> PartStrengths:
        """The same parts of some of the boats."""
        return PartStrengths({name: strength[rows] for name, strength in self.by_part.items()})


def cone_entrained_kg(mouth_m: FloatArray, policy: Policy) -> FloatArray:
    """Water a cone carries: the policy's figure for 5 in x (mouth / 5 in)^3. m -> kg. [assumed]"""
    return np.asarray(policy.sizing.entrained_mass * (mouth_m / STANDARD_MOUTH_M) ** 3)


def required_rigs(requirements: RequirementColumns, policy: Policy, catalogue: Catalogue) -> StrikeRigs:
    """The rig each boat needs, as the strike model takes it; NaN for a boat that was not computed.

    Every input is nominal, the slack too, with which a single strike starts.
    """
    rules, ropes = policy.sizing, catalogue.ropes
    half = half_angle_rad(rules.bridle_leg_ratio)
    used = requirements.section_rope >= 0
    needed = rigs(
        displacement_kg=requirements.displacement_used_kg,
        bridle_length_m=np.where(requirements.bridle_waits, SHORTEST_LEG_M, requirements.bridle_leg_m)
        * np.cos(half),
        bridle_ea_n=2 * at(ropes.ea_n, requirements.bridle_rope),
        bridle_mass_kg_per_m=2 * at(ropes.mass_kg_per_m, requirements.bridle_rope),
        lead_length_m=requirements.lead_length_m,
        lead_ea_n=at(ropes.ea_n, requirements.lead_rope),
        lead_mass_kg_per_m=at(ropes.mass_kg_per_m, requirements.lead_rope),
        section_length_m=np.where(used, requirements.section_length_m, 0.0),
        section_cones=np.where(used, requirements.section_cones, 0).astype(np.float64),
        section_ea_n=np.where(used, at(ropes.ea_n, requirements.section_rope), 0.0),
        section_mass_kg_per_m=np.where(used, at(ropes.mass_kg_per_m, requirements.section_rope), 0.0),
        cone_mouth_area_m2=mouth_area_m2(requirements.cone_mouth_m),
        cone_pitch_m=rules.cone_pitch,
        cone_entrained_mass_kg=cone_entrained_kg(requirements.cone_mouth_m, policy),
        cone_drag_coefficient=rules.drag_coefficient,
        end_weight_kg=requirements.end_weight_kg,
        water_density_kg_m3=rules.water_density,
    )
    return with_nominal_slack(needed)


def required_single_rigs(
    requirements: RequirementColumns, policy: Policy, catalogue: Catalogue
) -> StrikeRigs:
    """The single device each boat would need from the stern: of the equivalent diameter, on a line as long.

    The published size is that of one drogue, and a series drogue stands for it by equal drag [CG87 6.1]; but
    a single device takes up its water at once and at the end of its line, so it is held against its like.
    """
    series = required_rigs(requirements, policy, catalogue)
    diameter = requirements.equivalent_diameter_m
    none = np.zeros_like(series.section_cones)
    return replace(
        series,
        lead_length_m=requirements.line_length_m,
        section_length_m=none,
        section_cones=none,
        end_weight_kg=np.zeros(len(requirements)),
        element_diameter_m=diameter,
        element_drag_coefficient=np.full(len(requirements), policy.sizing.drag_coefficient),
        element_entrained_mass_kg=element_water_kg(diameter, series.water_density_kg_m3),
    )


def required_strengths(
    requirements: RequirementColumns, policy: Policy, catalogue: Catalogue
) -> PartStrengths:
    """Residual strength of every part of the rig she needs: new, wet, spliced. [UFC; practice]"""
    left = new_residual_share(policy.sizing, policy.condition)
    strength = catalogue.ropes.minimum_strength_n
    by_part = {
        "bridle leg": left * at(strength, requirements.bridle_rope),
        "attachment": attachment_load_n(requirements.design_load_n, policy.sizing.attachment_share),
        "shackle": at(catalogue.shackles.breaking_load_n, requirements.shackle),
        "lead line": left * at(strength, requirements.lead_rope),
    }
    for place in range(requirements.section_rope.shape[1]):
        by_part[f"section {place + 1}"] = left * at(strength, requirements.section_rope[:, place])
    return PartStrengths(by_part)


def published_loads(boats: StrikeRigs, design_load_n: FloatArray, attachment_share: float) -> PartStrengths:
    """Load that the published design load F puts on each part; NaN where a boat has no such part. N, (n,).

    F on a bridle leg, shackle and lead line, its share on an attachment, and F x cones outboard / N at the
    head of a section. [CG87 6.2, 6.3; derived]
    """
    cones = boats.section_cones
    outboard = np.cumsum(cones[:, ::-1], axis=1)[:, ::-1]
    with np.errstate(invalid="ignore"):
        steady = np.where(cones > 0.0, design_load_n[:, None] * outboard / outboard[:, :1], np.nan)
    by_part = dict.fromkeys(("bridle leg", "attachment", "shackle", "lead line"), design_load_n)
    by_part["attachment"] = attachment_load_n(design_load_n, attachment_share)
    return PartStrengths(by_part | {f"section {i + 1}": steady[:, i] for i in range(steady.shape[1])})


def strike_columns(
    boats: StrikeRigs,
    strengths: PartStrengths,
    design_load_n: FloatArray,
    labels: Sequence[str],
    policy: Policy,
    plan: StrikePlan,
    unknown: Mapping[int, str] | None = None,
    progress: Callable[[int, int], None] | None = None,
) -> StrikeColumns:
    """Strike every rig once and, with samples, over their spread; a boat without figures says why.

    `unknown` are boats whose rig is not known well enough, with the reason; they are not tried. A boat that
    the wave carries along has no figures either: what her line bears until the run ends is no peak, and would
    pass for a small one. Where that happens in some samples alone, she has a strike and no spread.
    """
    unknown = dict(unknown or {})
    displacement = boats.displacement_kg.copy()
    displacement[list(unknown)] = np.nan
    boats = replace(boats, displacement_kg=displacement)
    once = strike(boats, labels)
    carried = dict.fromkeys(np.flatnonzero(once.status == Status.CARRIED).tolist(), CARRIED_ALONG)
    reasons = _reasons(once.errors, carried | unknown)
    out = np.zeros(len(boats), dtype=np.bool_)
    out[list(reasons)] = True
    limits = (strengths, published_loads(boats, design_load_n, policy.sizing.attachment_share))
    many = _ensemble(boats, limits, labels, policy, plan, progress) if plan.samples else None
    not_sampled = {} if many is None else _reasons(many.errors, _carried_samples(many, plan.samples))
    not_sampled = {row: why for row, why in not_sampled.items() if row not in reasons}
    unsampled = out.copy()
    unsampled[list(not_sampled)] = True
    figures, spread = partial(_without, out), partial(_without, unsampled)
    none = many if many is not None else EnsembleResult.without_figures(Status.REFUSED, once.errors, 0)
    names = list(strengths.by_part)
    above = [spread(column) for column in none.share_above.T]
    return StrikeColumns(
        not_computed=reasons,
        peak_n=figures(once.peak_load_n),
        peak_time_s=figures(once.peak_time_s),
        boat_speed_mps=figures(once.speed_at_peak_m_s),
        distance_m=figures(once.run_at_peak_m),
        head_peak_n=figures(once.head_peak_n[:, 1:]),
        median_n=spread(none.median_n),
        p90_n=spread(none.p90_n),
        head_p90_n=spread(none.head_p90_n[:, 1:]),
        peak_quantiles_n=spread(none.quantiles_n),
        samples=plan.samples,
        share_above=dict(zip(names, above, strict=False)),
        share_above_published=dict(zip(names, above[len(names) :], strict=False)),
        sensitivity={name: spread(none.influence[:, i]) for i, name in enumerate(INPUTS)} if many else {},
        history=_histories(boats, once, reasons) if plan.histories else {},
        hold=hold_of(once),
        not_sampled=not_sampled,
    )


def hold_of(once: StrikeResult) -> HoldColumns:
    """How the rigs held their boats; a boat that the wave carried along has figures up to there."""
    return HoldColumns(
        once.held_speed_m_s, once.held_run_m, once.crest_time_s, np.asarray(once.status == Status.CARRIED)
    )


def _without(rows: BoolArray, values: FloatArray) -> FloatArray:
    """The figures, none (NaN) for `rows`; (n,) or (n, m)."""
    return np.where(rows if values.ndim == 1 else rows[:, None], np.nan, values)


def _carried_samples(many: EnsembleResult, samples: int) -> dict[int, str]:
    """Boats whom some of the varied waves carried along, and how many of them."""
    carried = np.rint(np.nan_to_num(many.carried_share) * samples)  # NaN where nothing was computed
    return {
        row: f"in {carried[row]:.0f} of {samples} varied strikes the wave did not pass the boat: they have "
        "no peak to be counted"
        for row in np.flatnonzero(carried).tolist()
    }


def _reasons(errors: Sequence[ComputationError | None], unknown: Mapping[int, str]) -> dict[int, str]:
    found = {row: str(error) for row, error in enumerate(errors) if error is not None}
    return dict(sorted((found | dict(unknown)).items()))


def _ensemble(
    boats: StrikeRigs,
    limits: Sequence[PartStrengths],
    labels: Sequence[str],
    policy: Policy,
    plan: StrikePlan,
    progress: Callable[[int, int], None] | None,
) -> EnsembleResult:
    """The samples, set against every part's load in each of `limits`, one after the other."""
    columns = [(name, load) for limit in limits for name, load in limit.by_part.items()]
    share = {"attachment": policy.sizing.attachment_share}
    what = parts(
        np.column_stack([load for _, load in columns]),
        [PART_HEADS[name] for name, _ in columns],
        [share.get(name, 1.0) for name, _ in columns],
    )
    return run_ensembles(
        boats, what, labels, Plan(samples=plan.samples), scheduler=plan.scheduler, progress=progress
    )


def put_in_place(whole: Columns, rows: IntArray, part: Columns) -> Columns:
    """The columns of a fleet with those of some of its boats, struck anew, in the place of the old ones."""
    again = set(rows.tolist())

    def put(old: Any, new: Any) -> Any:
        if isinstance(old, np.ndarray):
            values = old.copy()
            values[rows] = new
            return values
        if isinstance(old, HoldColumns):
            return put_in_place(old, rows, new)
        if isinstance(old, Mapping) and any(isinstance(key, str) for key in old):
            return {name: put(old[name], new[name]) for name in old}
        if isinstance(old, Mapping):
            kept = {row: value for row, value in old.items() if row not in again}
            return dict(sorted((kept | {int(rows[i]): value for i, value in new.items()}).items()))
        return old

    return replace(
        whole, **{f.name: put(getattr(whole, f.name), getattr(part, f.name)) for f in fields(whole)}
    )


def _histories(
    boats: StrikeRigs, once: StrikeResult, reasons: Mapping[int, str]
) -> dict[int, tuple[FloatArray, FloatArray, FloatArray]]:
    which = np.array([row for row in np.flatnonzero(once.computed) if int(row) not in reasons], np.int64)
    kept = strike_histories(boats, once, which, interval_s=HISTORY_INTERVAL_S)
    return {
        int(row): (history.time_s, history.bridle_load_n, history.boat_speed_m_s)
        for row, history in zip(which, kept, strict=True)
    }
