"""The figures of a boat's requirement that her steps and her recovery gear come from, in SI units."""

from __future__ import annotations

from typing import Final

from sizing.model import RequirementColumns

FIGURES: Final = (
    "drift_low_mps", "drift_high_mps", "wind_speed_mps", "bridle_leg_m", "line_length_m", "lead_length_m",
    "end_weight_kg", "attachment_load_n", "design_load_n", "cones", "cone_mouth_m",
)  # fmt: skip
"""The figures of a requirement that the steps tell."""


def figures_of(needs: RequirementColumns, row: int) -> dict[str, float]:
    """The figures of one boat that the steps are told with, in SI units."""
    return {name: float(getattr(needs, name)[row]) for name in FIGURES}
