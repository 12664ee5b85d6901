"""The wave strike on every boat's rig: from the fleet's columns to the strike model and back.

One function builds the rigs of what each boat needs; the audit builds those of what she carries. Both go
through `strike_columns`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial

import numpy as np

from sizing.catalogue import Catalogue
from sizing.drogue.bridle import half_angle_rad
from sizing.drogue.drag import mouth_area_m2
from sizing.drogue.loads import attachment_load_n
from sizing.drogue.rig import at
from sizing.drogue.rope import new_residual_share
from sizing.drogue.strike import (
    HEADS,
    INPUTS,
    EnsembleResult,
    Parts,
    Plan,
    Status,
    StrikeResult,
    StrikeRigs,
    parts,
    rigs,
    run_ensembles,
    strike,
    strike_histories,
)
from sizing.drogue.strike.ensemble import QUANTILES
from sizing.errors import ComputationError
from sizing.model import BoolArray, FloatArray, RequirementColumns, StrikeColumns
from sizing.policy import Policy

STANDARD_MOUTH_M = 0.127
"""Mouth of the cone whose entrained water the policy gives [CG87 4.1.1]."""

CARRIED_ALONG = (
    "the simulated wave did not pass her: she ran ahead of it, so this drogue cannot hold her and there is "
    "no peak to be given"
)
HISTORY_INTERVAL_S = 0.02
PART_HEADS: Mapping[str, int] = {
    "bridle leg": 0, "attachment": 0, "shackle": 0, "lead line": 1, "section 1": 2, "section 2": 3,
    "section 3": 4,
}  # fmt: skip


@dataclass(frozen=True)
class StrikePlan:
    """How much is computed: samples a boat (0 for none), whether time histories, and where it runs.

    `scheduler` is the address of a dask scheduler, or None for this machine. Without `rides` lying to the
    drogue in a regular sea is left out; only pages show it.
    """

    samples: int = 256
    histories: bool = True
    scheduler: str | None = None
    rides: bool = True


@dataclass(frozen=True)
class PartStrengths:
    """Residual strength of each part, N, (n,) each; NaN where a boat has no such part or it is not known."""

    by_part: Mapping[str, FloatArray]

    def parts(self, attachment_share: float) -> Parts:
        """As the ensemble takes them: strengths, whose tension each part feels, and which share of it."""
        names = list(self.by_part)
        return parts(
            np.column_stack([self.by_part[name] for name in names]),
            [PART_HEADS[name] for name in names],
            [attachment_share if name == "attachment" else 1.0 for name in names],
        )


def cone_entrained_kg(mouth_m: FloatArray, policy: Policy) -> FloatArray:
    """Water a cone carries: the policy's figure for 5 in x (mouth / 5 in)^3. m -> kg. [assumed]"""
    return np.asarray(policy.sizing.entrained_mass * (mouth_m / STANDARD_MOUTH_M) ** 3)


def required_rigs(requirements: RequirementColumns, policy: Policy, catalogue: Catalogue) -> StrikeRigs:
    """The rig each boat needs, as the strike model takes it; NaN for a boat that was not computed."""
    rules, ropes = policy.sizing, catalogue.ropes
    half = half_angle_rad(rules.bridle_leg_ratio)
    used = requirements.section_rope >= 0
    return rigs(
        displacement_kg=requirements.displacement_used_kg,
        bridle_length_m=requirements.bridle_leg_m * np.cos(half),
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


def strike_columns(
    boats: StrikeRigs,
    strengths: PartStrengths,
    labels: Sequence[str],
    policy: Policy,
    plan: StrikePlan,
    unknown: Mapping[int, str] | None = None,
    progress: Callable[[int, int], None] | None = None,
    struck: StrikeResult | None = None,
) -> StrikeColumns:
    """Strike every rig once and, with samples, over their spread; a boat without figures says why.

    `unknown` are boats whose rig is not known well enough, with the reason; they are not tried. `struck` is
    what `strike` gave for the same rigs, where it is known already. A boat that the wave carries along has no
    figures either: what her line bears until the run ends is no peak, and would pass for a small one. Where
    that happens in some samples alone, she has a strike and no spread.
    """
    once = struck or strike(boats, labels)
    carried = dict.fromkeys(np.flatnonzero(once.status == Status.CARRIED).tolist(), CARRIED_ALONG)
    reasons = _reasons(once.errors, carried | dict(unknown or {}))
    out = np.zeros(len(boats), dtype=np.bool_)
    out[list(reasons)] = True
    many = _ensemble(boats, strengths, labels, policy, plan, progress) if plan.samples else None
    not_sampled = {} if many is None else _reasons(many.errors, _carried_samples(many, plan.samples))
    unsampled = out.copy()
    unsampled[list(not_sampled)] = True
    figures, spread = partial(_without, out), partial(_without, unsampled)
    none = np.full(len(boats), np.nan)
    nothing = np.full((len(boats), QUANTILES), np.nan)
    return StrikeColumns(
        not_computed=reasons,
        peak_n=figures(once.peak_load_n),
        peak_time_s=figures(once.peak_time_s),
        boat_speed_mps=figures(once.speed_at_peak_m_s),
        distance_m=figures(once.run_at_peak_m),
        head_peak_n=figures(once.head_peak_n[:, 1 : len(HEADS)]),
        median_n=spread(many.median_n) if many else none,
        p90_n=spread(many.p90_n) if many else none,
        peak_quantiles_n=spread(many.quantiles_n) if many else nothing,
        samples=plan.samples,
        share_above={name: spread(many.share_above[:, i]) for i, name in enumerate(strengths.by_part)}
        if many
        else {},
        sensitivity={name: spread(many.influence[:, i]) for i, name in enumerate(INPUTS)} if many else {},
        history=_histories(boats, once, reasons) if plan.histories else {},
        not_sampled=not_sampled,
    )


def _without(rows: BoolArray, values: FloatArray) -> FloatArray:
    """The figures, none (NaN) for `rows`; (n,) or (n, m)."""
    return np.where(rows if values.ndim == 1 else rows[:, None], np.nan, values)


def _carried_samples(many: EnsembleResult, samples: int) -> dict[int, str]:
    """Boats whom some of the varied waves carried along, and how many of them."""
    carried = np.rint(np.nan_to_num(many.carried_share) * samples)  # NaN where nothing was computed
    return {
        row: f"in {carried[row]:.0f} of {samples} varied strikes the wave did not pass her, so they have no "
        "peak to be counted"
        for row in np.flatnonzero(carried).tolist()
    }


def _reasons(errors: Sequence[ComputationError | None], unknown: Mapping[int, str]) -> dict[int, str]:
    found = {row: str(error) for row, error in enumerate(errors) if error is not None}
    return dict(sorted((found | dict(unknown)).items()))


def _ensemble(
    boats: StrikeRigs,
    strengths: PartStrengths,
    labels: Sequence[str],
    policy: Policy,
    plan: StrikePlan,
    progress: Callable[[int, int], None] | None,
) -> EnsembleResult:
    what = strengths.parts(policy.sizing.attachment_share)
    return run_ensembles(
        boats, what, labels, Plan(samples=plan.samples), scheduler=plan.scheduler, progress=progress
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
