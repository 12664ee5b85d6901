"""The register of checks, in the order they are shown."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
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
SPECS: Final[Mapping[str, CheckSpec]] = MappingProxyType({spec.check.id: spec for spec in REGISTER})
