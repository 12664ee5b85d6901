"""The open findings of one boat after another, without making those that are closed."""

from __future__ import annotations

import numpy as np

from sizing.audit import findings_of
from sizing.model import OPEN_STANDINGS, Finding, MusterResult


class OpenFindings:
    """Knows which checks are open for which boat."""

    def __init__(self, result: MusterResult) -> None:
        self._checks = result.checks
        self._fleet = result.intake.fleet
        codes = [int(standing) for standing in OPEN_STANDINGS]
        self._open = np.zeros((len(result.checks), len(self._fleet)), dtype=np.bool_)
        for place, check in enumerate(result.checks):
            self._open[place] = np.isin(check.standing, codes)

    def of(self, row: int) -> tuple[Finding, ...]:
        """Return the open findings of boat `row`, in the order of the checks."""
        checks = [self._checks[place] for place in np.flatnonzero(self._open[:, row])]
        return findings_of(checks, self._fleet, row)
