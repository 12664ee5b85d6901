"""The register of checks, in the order they are shown."""

from __future__ import annotations

from typing import Final

from sizing.audit import boat_checks, bridle, device, evidence_checks, fittings, line, strike, upkeep
from sizing.audit.spec import CheckSpec

STRIKE_FAMILY: Final = "strike"
"""Checks of this family need a simulated strike, and are left out of a run without one."""

REGISTER: Final[tuple[CheckSpec, ...]] = (
    *device.CHECKS,
    *line.CHECKS,
    *bridle.CHECKS,
    *fittings.CHECKS,
    *strike.CHECKS,
    *upkeep.CHECKS,
    *boat_checks.CHECKS,
    *evidence_checks.CHECKS,
)
