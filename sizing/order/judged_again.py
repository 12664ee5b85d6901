"""Judges boats again as fitted with the rope that would be cut for them."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

import numpy as np

from sizing.audit.as_fitted import PARTS, RopesPut, as_fitted, fitted_requirements, place_of
from sizing.audit.context import AuditContext
from sizing.catalogue import Ropes as CatalogueRopes
from sizing.model import FloatArray, IntArray, MendPlan, RequirementColumns, StrikeColumns
from sizing.order.rope_choices import Boat, Rejudge, Ropes


def rejudge_of(
    context: AuditContext, strike: StrikeColumns | None, plans: Sequence[MendPlan]
) -> Rejudge | None:
    """Return what judges boats again with thicker rope; None where no wave was simulated for the fleet.

    Thicker rope is stiffer, and what a strike on it comes to is not known then: nothing is cut thicker. Each
    boat has a spread of varied strikes of her own where the rigs that are needed have one.
    """
    return None if strike is None else _JudgedAgain(context, strike.samples, plans)


def ropes_put(boats: Sequence[Boat], sections: IntArray, ropes: CatalogueRopes) -> RopesPut:
    """Return what is put into each boat; `sections` are those of the gear aboard, by row."""
    row = np.array([boat[0][0][0] for boat in boats], dtype=np.int64)
    rope = np.full((len(boats), len(PARTS)), -1, dtype=np.int64)
    for case, boat in enumerate(boats):
        for (_, purpose), at in boat:
            rope[case, place_of(purpose, int(sections[row[case]]))] = at
    return RopesPut.of_catalogue(ropes, row, rope)


def boats_of(ropes: Ropes) -> list[Boat]:
    """Return the pieces of each boat together, in order."""
    return [tuple(hers) for _, hers in groupby(sorted(ropes.items()), key=lambda piece: piece[0][0])]


class _JudgedAgain:
    def __init__(self, context: AuditContext, samples: int, plans: Sequence[MendPlan]) -> None:
        self._context, self._samples, self._plans = context, samples, plans
        self._asked_n: dict[Boat, FloatArray] = {}

    def _put(self, boats: Sequence[Boat]) -> RopesPut:
        return ropes_put(boats, self._context.sections, self._context.catalogue.ropes)

    def __call__(self, boats: Sequence[Boat], *, quick: bool = False) -> Sequence[tuple[str, ...]]:
        samples = 0 if quick else self._samples
        fitted = as_fitted(self._context, self._plans, self._put(boats), samples=samples)
        if not quick:
            self._asked_n |= dict(zip(boats, fitted.asked_n, strict=True))
        return [fitted.against(case) for case in range(len(boats))]

    def made(self, ropes: Ropes) -> RequirementColumns:
        """The rigs with these ropes, connectors chosen for what a strike on the stiffer rig asks of them."""
        boats, context = boats_of(ropes), self._context
        asked_n = np.array([self._asked_n[boat] for boat in boats])
        needed, policy = context.requirements, context.policy
        return fitted_requirements(needed, self._put(boats), asked_n, policy, context.catalogue)
