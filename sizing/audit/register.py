"""The register of checks, in the order they are shown."""

from __future__ import annotations

from typing import Final

from sizing.audit import bridle, device, fittings, line, record, upkeep
from sizing.audit.spec import CheckSpec

REGISTER: Final[tuple[CheckSpec, ...]] = (
    *device.CHECKS,
    *line.CHECKS,
    *bridle.CHECKS,
    *fittings.CHECKS,
    *upkeep.CHECKS,
    *record.CHECKS,
)
