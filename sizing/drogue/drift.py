"""Drift of every boat that lies to the drogue she needs, as a range: low, middle and high."""

from __future__ import annotations

import numpy as np

from sizing.drogue.drag import mouth_area_m2
from sizing.drogue.tow import drift_speed_mps, hull_drag_area_m2, water_drag_area_m2
from sizing.drogue.windage import HIGH, LOW, MIDDLE, Range, air_drag_areas_m2, windage_used_m2
from sizing.model import FleetColumns, FloatArray
from sizing.policy import Policy


def cone_drag(policy: Policy, place: float) -> float:
    """Drag coefficient of the cones at a place of the range: where drift is low, they drag the most."""
    middle, spread = policy.sizing.drag_coefficient, policy.drift.cone_drag_spread
    return Range(middle + spread, middle - spread).at(place)


def drift_columns(
    fleet: FleetColumns, displacement_kg: FloatArray, cones: FloatArray, policy: Policy
) -> dict[str, FloatArray]:
    """Wind, windage and drift of n boats, by their names in `RequirementColumns`; SI units, (n,) each.

    The ends of the range are what comes of all low and of all high figures together. [derived; see `windage`]
    """
    boat = (
        fleet.number["windage_area_m2"],
        fleet.number["loa_m"],
        fleet.number["beam_m"],
        fleet.choice["boat_type"],
    )
    rules = policy.sizing
    wind = np.full(len(fleet), policy.drift.wind_speed)
    hull = hull_drag_area_m2(displacement_kg, rules.water_density)
    columns = {"wind_speed_mps": wind, "windage_used_m2": windage_used_m2(*boat)}
    for name, place in (("drift_low_mps", LOW), ("drift_speed_mps", MIDDLE), ("drift_high_mps", HIGH)):
        air = air_drag_areas_m2(*boat, policy.drift, place)
        water = water_drag_area_m2(cones, mouth_area_m2(rules.cone_mouth), cone_drag(policy, place), hull)
        columns[name] = drift_speed_mps(wind, air, water, rules.water_density)
    columns["air_drag_area_m2"] = air_drag_areas_m2(*boat, policy.drift, MIDDLE)
    return columns
