"""The register of checks, in the order they are shown."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from sizing.audit import (
    attachments,
    boat_checks,
    bridle,
    cones,
    device,
    evidence_checks,
    hardware,
    line,
    line_make,
    strike,
    upkeep,
)
from sizing.audit.spec import CheckSpec

REGISTER: Final[tuple[CheckSpec, ...]] = (
    *device.CHECKS,
    *cones.CHECKS,
    *strike.CHECKS,
    *line.CHECKS,
    *line_make.CHECKS,
    *bridle.CHECKS,
    *attachments.CHECKS,
    *hardware.CHECKS,
    *upkeep.CHECKS,
    *boat_checks.CHECKS,
    *evidence_checks.CHECKS,
)
SPECS: Final[Mapping[str, CheckSpec]] = MappingProxyType({spec.check.id: spec for spec in REGISTER})
