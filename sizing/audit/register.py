"""The register of checks, in the order they are shown."""

from __future__ import annotations

from typing import Final

from sizing.audit import boat_checks, bridle, device, evidence_checks, fittings, line, strike, upkeep
from sizing.audit.spec import CheckSpec

REGISTER: Final[tuple[CheckSpec, ...]] = (
    *device.CHECKS,
    *strike.CHECKS,
    *line.CHECKS,
    *bridle.CHECKS,
    *fittings.CHECKS,
    *upkeep.CHECKS,
    *boat_checks.CHECKS,
    *evidence_checks.CHECKS,
)
