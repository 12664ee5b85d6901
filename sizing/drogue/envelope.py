"""The tension a wave strike adds along the line, as a floor under the strength of every section."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sizing.errors import ComputationError
from sizing.model import BoolArray, FloatArray, IntArray


@dataclass(frozen=True)
class TensionEnvelope:
    """Greatest tension in a strike, as multiples of the design load F.

    fractions:
        (m,) places along the cone line, as cones inboard of the place over N: 0 at the head of section 0, 1
        at the end; rising from 0 to 1.
    multiples:
        (m,) for the whole fleet or (n, m): greatest tension there over F, straight between places. Outboard
        of a place the line is never asked to be stronger than at it, so each value counts as the greatest of
        itself and all outboard of it.
    lead_multiple:
        the same for lead line and bridle; (n,), one for all, or None: that at fraction 0.

    Residual strength (wet, spliced, new) must reach the multiple x F. A boat with any NaN has no envelope:
    she is sized by the steady rule alone.
    """

    fractions: FloatArray
    multiples: FloatArray
    lead_multiple: FloatArray | float | None = None

    def for_boats(self, boats: int) -> BoatEnvelopes:
        """The envelope of every boat, checked; shapes (boats, m) and (boats,)."""
        fractions = np.asarray(self.fractions, dtype=np.float64)
        if fractions.ndim != 1 or len(fractions) < 2 or fractions[0] != 0.0 or fractions[-1] != 1.0:
            raise _refuse("the fractions do not run from 0 to 1")
        if not (np.diff(fractions) > 0.0).all():
            raise _refuse("the fractions do not rise")
        given = np.asarray(self.multiples, dtype=np.float64)
        if given.shape not in ((len(fractions),), (boats, len(fractions))):
            raise _refuse(f"the multiples have shape {given.shape}")
        multiples = np.broadcast_to(given, (boats, len(fractions)))
        lead = multiples[:, 0] if self.lead_multiple is None else np.asarray(self.lead_multiple)
        lead = np.broadcast_to(lead, (boats,))
        none = np.isnan(multiples).any(axis=1) | np.isnan(lead)
        if (multiples < 0.0).any() or (lead < 0.0).any() or np.isinf(multiples).any() or np.isinf(lead).any():
            raise _refuse("a multiple is negative or infinite")
        outboard = np.maximum.accumulate(multiples[:, ::-1], axis=1)[:, ::-1]
        return BoatEnvelopes(
            fractions,
            np.where(none[:, None], 0.0, outboard),
            np.where(none, 0.0, np.maximum(lead, outboard[:, 0])),
        )


@dataclass(frozen=True)
class BoatEnvelopes:
    """Checked envelopes of n boats: `multiples` (n, m) never rise outboard, `lead` (n,) reaches the first."""

    fractions: FloatArray
    multiples: FloatArray
    lead: FloatArray

    def first_cone_held(
        self, residual_over_load: FloatArray, cones: FloatArray, chosen: BoolArray
    ) -> IntArray:
        """Fewest cones inboard of a place from which a residual strength holds; N where it never does.

        `residual_over_load` is residual strength over F, shape (k, r) for the k boats of mask `chosen` and r
        ropes; `cones` (k,). Result (k, r).
        """
        multiples = self.multiples[chosen]
        reached = np.zeros(residual_over_load.shape, dtype=np.int64)
        for place in range(len(self.fractions)):
            reached += multiples[:, place, None] > residual_over_load
        last = len(self.fractions) - 1
        inner = np.clip(reached, 1, last)
        above = np.take_along_axis(multiples, inner - 1, axis=1)
        below = np.take_along_axis(multiples, inner, axis=1)
        fall = np.where(above > below, above - below, 1.0)
        share = (above - residual_over_load) / fall
        start, end = self.fractions[inner - 1], self.fractions[inner]
        fraction = np.where(reached == 0, 0.0, start + share * (end - start))
        first = np.ceil(fraction * cones[:, None] - 1e-9)
        return np.where(reached > last, cones[:, None], first).astype(np.int64)


def _refuse(found: str) -> ComputationError:
    return ComputationError(
        "tension envelope",
        found,
        "fractions rising from 0 to 1, and finite multiples from 0 up, one for each fraction",
        "build the envelope from the strike's own places along the line",
    )
