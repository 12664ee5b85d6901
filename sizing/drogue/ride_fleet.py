"""Lying to the drogue in a regular sea, for every boat's required rig. [CG87 5.2]"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from sizing.catalogue import Catalogue
from sizing.drogue.density import AIR_KG_M3
from sizing.drogue.figures import Figure
from sizing.drogue.rig import at
from sizing.drogue.strike import ride
from sizing.drogue.strike_fleet import required_rigs
from sizing.model import FloatArray, RequirementColumns, RideColumns
from sizing.policy import Policy


def wind_force_n(wind_speed_mps: Figure, air_drag_area_m2: Figure) -> Figure:
    """Push of the wind on hull and rig at rest: 1/2 rho_air A W^2, A their drag area. m/s, m2 -> N.

    >>> round(wind_force_n(20.0, 6.0))
    1470
    """
    return 0.5 * AIR_KG_M3 * air_drag_area_m2 * wind_speed_mps**2


def ride_required(
    requirements: RequirementColumns, policy: Policy, catalogue: Catalogue, labels: Sequence[str]
) -> RideColumns:
    """Loads while every boat lies to the drogue she needs in the policy's sea; a boat without says why.

    Each load cycle is one wave; against CG87's 10 % working load and 10,000 cycles a storm. [CG87 3.3.4, 6.3]
    """
    sea = policy.sea
    wind = wind_force_n(np.full(len(requirements), sea.wind_speed), requirements.air_drag_area_m2)
    strength = at(catalogue.ropes.minimum_strength_n, requirements.lead_rope)
    result = ride(
        required_rigs(requirements, policy, catalogue),
        sea.wave_height,
        sea.wave_period,
        wind,
        strength,
        labels,
    )
    reasons = {row: str(error) for row, error in enumerate(result.errors) if error is not None}
    reasons |= dict(requirements.not_computed)
    out = np.zeros(len(requirements), dtype=np.bool_)
    out[list(reasons)] = True

    def figures(values: FloatArray) -> FloatArray:
        return np.where(out, np.nan, values)

    return RideColumns(
        not_computed=dict(sorted(reasons.items())),
        greatest_n=figures(result.greatest_load_n),
        least_n=figures(result.least_load_n),
        mean_n=figures(result.mean_load_n),
        slack_share=figures(result.slack_share),
        cycles_per_hour=figures(result.cycles_per_hour),
        working_share=figures(result.working_share),
        storm_hours=figures(sea.storm_cycles / result.cycles_per_hour),
    )
