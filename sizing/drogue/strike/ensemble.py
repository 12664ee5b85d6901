"""Uncertainty: the strike over the sampled inputs of `sizing.drogue.strike.sampled`.

Every boat meets the same points of a scrambled Sobol sequence with a fixed seed, so boats differ by their
rigs and never by the luck of the draw, and a boat's figures do not depend on who else is in the batch.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import NDArray

from sizing.drogue.strike.line import HEADS
from sizing.drogue.strike.model import FloatArray
from sizing.drogue.strike.result import Status
from sizing.drogue.strike.rig import StrikeRigs, named, problems
from sizing.drogue.strike.run import DEFAULT_SETTINGS, Settings, march_rows, statuses
from sizing.drogue.strike.sampled import SAMPLED, sample_rows
from sizing.drogue.strike.sobol import sobol_points
from sizing.errors import ComputationError

INPUTS: tuple[str, ...] = tuple(sampled.name for sampled in SAMPLED)
BOATS_AT_A_TIME = 16
QUANTILES = 50
"""Peaks kept of each boat's spread, at the middles of so many equal shares of her samples."""


@dataclass(frozen=True)
class Plan:
    """How many strikes are sampled over the ranges of SAMPLED, and how their points are drawn."""

    samples: int = 256
    seed: int = 1987

    def points(self) -> FloatArray:
        """The sample points in the unit cube, shape (samples, inputs), always the same for the same plan."""
        return sobol_points(self.samples, self.seed)


@dataclass(frozen=True, eq=False)
class Parts:
    """Parts whose residual strength is set against the samples.

    ``strength_n`` (boats, parts), NaN for a part a boat does not have or whose strength is not known: its
    share is NaN too, never 0; ``head`` (parts,) says whose tension each part carries: an index into
    HEADS (0 the bridle); ``share`` (parts,) which share of it, for instance 0.70 at each attachment [CG87
    6.3].
    """

    strength_n: FloatArray
    head: NDArray[np.int64]
    share: FloatArray

    def take(self, which: slice) -> Parts:
        """The same parts of some of the boats."""
        return Parts(self.strength_n[which], self.head, self.share)


def parts(strength_n: FloatArray, head: Sequence[int] = (), share: Sequence[float] = ()) -> Parts:
    """Parts from strengths (boats, parts); by default each carries all of the bridle load."""
    strength = np.atleast_2d(np.asarray(strength_n, dtype=np.float64))
    n = strength.shape[1]
    return Parts(
        strength,
        np.asarray(head if len(head) else [0] * n, dtype=np.int64),
        np.asarray(share if len(share) else [1.0] * n, dtype=np.float64),
    )


@dataclass(frozen=True, eq=False)
class EnsembleResult:
    """Columns over boats. Failed boats are NaN with status and error; ``boat_ok`` says which have figures.

    median_n, p90_n: of the peak bridle load (N), shape (n,). head_p90_n: 90th percentile of the peak at each
    of HEADS, (n, 5), NaN where a head is not rigged. quantiles_n: of the bridle's, ascending, (n,
    QUANTILES), each standing for an equal share of the samples. share_above: share of samples in which the
    part's load is above its strength, (n, parts). carried_share: share of samples whose wave did not pass.
    influence: share of the explained variance of the peak's rank owed to each of INPUTS, (n, inputs),
    summing to 1; direction: sign of the effect; explained: R squared of the rank regression, a warning when
    well below 1.
    """

    status: NDArray[np.int8]
    errors: tuple[ComputationError | None, ...]
    median_n: FloatArray
    p90_n: FloatArray
    head_p90_n: FloatArray
    quantiles_n: FloatArray
    share_above: FloatArray
    carried_share: FloatArray
    influence: FloatArray
    direction: FloatArray
    explained: FloatArray

    @classmethod
    def without_figures(
        cls, status: Status, errors: Sequence[ComputationError | None], parts: int
    ) -> EnsembleResult:
        """Boats without figures, one for each of `errors`, all of one status."""
        widths = {
            "head_p90_n": len(HEADS), "quantiles_n": QUANTILES, "share_above": parts,
            "influence": len(INPUTS), "direction": len(INPUTS),
        }  # fmt: skip
        n = len(errors)
        columns = {
            f.name: np.full((n, widths[f.name]) if f.name in widths else n, np.nan)
            for f in fields(cls)
            if f.name not in {"status", "errors"}
        }
        return cls(np.full(n, status, dtype=np.int8), tuple(errors), **columns)

    @property
    def boat_ok(self) -> NDArray[np.bool_]:
        """Which boats have figures."""
        return self.status <= Status.CARRIED


def ranks(values: FloatArray) -> FloatArray:
    """Rank of each of ``values`` (n,) from 1; equal ones share the mean of their ranks.

    >>> ranks(np.array([3.0, 1.0, 3.0])).tolist()
    [2.5, 1.0, 2.5]
    """
    _, place, count = np.unique(values, return_inverse=True, return_counts=True)
    return np.asarray((np.cumsum(count) - (count - 1) / 2)[place])


def rank_influence(points: FloatArray, peaks: FloatArray) -> tuple[FloatArray, FloatArray, float]:
    """Standardised rank regression of ``peaks`` (n,) on ``points`` (n, d): shares, signs, R squared.

    Ranks are standardised, regressed by least squares, and each input's share is its coefficient squared
    over the sum of squares; for near-independent inputs, as here, that is its share of the explained
    variance [practice].
    """
    x = np.column_stack([ranks(column) for column in points.T])
    x = (x - x.mean(axis=0)) / x.std(axis=0)
    y = ranks(peaks)
    y = (y - y.mean()) / y.std()
    solver = np.linalg.pinv(x)
    slope = (solver * y).sum(axis=1)
    left = y - (x * slope).sum(axis=1)
    return slope**2 / (slope**2).sum(), np.sign(slope), float(1.0 - (left**2).mean())


def run_samples(boats: StrikeRigs, plan: Plan, settings: Settings = DEFAULT_SETTINGS) -> NDArray[np.void]:
    """A STRIKE record of every sample, shape (boats, samples), without the energies."""
    many = sample_rows(boats, plan.points())
    flat = many.reshape(-1)
    peaks_alone = replace(settings, watched_s=0.0)
    out = march_rows(flat, np.ones(len(flat), dtype=bool), peaks_alone, ledger=False)
    return out.reshape(many.shape)


def ensembles(
    boats: StrikeRigs,
    what: Parts,
    labels: Sequence[str] | None = None,
    plan: Plan | None = None,
    settings: Settings = DEFAULT_SETTINGS,
    progress: Callable[[int, int], None] | None = None,
) -> EnsembleResult:
    """Strike every boat ``plan.samples`` times; ``progress(done, all)`` is called as boats are finished."""
    chosen = plan if plan is not None else Plan()
    n, width = len(boats), what.strength_n.shape[1]
    if what.strength_n.shape[0] != n or len(what.head) != width or len(what.share) != width:
        raise ValueError(f"{n} boats need strengths of shape ({n}, parts) and one head and share a part")
    errors = list(problems(boats, labels))
    given = ~np.isnan(what.strength_n)
    for i in np.flatnonzero((given & ~(np.isfinite(what.strength_n) & (what.strength_n > 0.0))).any(axis=1)):
        errors[i] = errors[i] or ComputationError(
            named(labels, int(i)),
            "a part's strength is not a positive load",
            "newtons above 0",
            "mend her gear list",
        )
    found = EnsembleResult.without_figures(Status.REFUSED, errors, width)
    levels = (np.arange(QUANTILES) + 0.5) / QUANTILES
    points = chosen.points()
    good = np.flatnonzero([e is None for e in errors])
    for start in range(0, len(good), BOATS_AT_A_TIME):
        block = good[start : start + BOATS_AT_A_TIME]
        outs = run_samples(boats.take(block), chosen, settings)
        for i, out in zip(block, outs, strict=True):
            failed: list[ComputationError | None] = [None] * chosen.samples
            of_samples = statuses(
                out, failed, [f"{named(labels, int(i))}, sample {j + 1}" for j in range(len(out))]
            )
            found.status[i] = of_samples.max()
            first = next((e for e in failed if e is not None), None)
            loads = out["head_peak_n"][:, what.head] * what.share
            if first is None and not np.isfinite(loads[:, given[i]]).all():
                found.status[i] = Status.REFUSED
                first = ComputationError(
                    named(labels, int(i)),
                    "a part is set against a head that her rig does not have",
                    "heads of the sections that she carries",
                    "leave that part out or give the section a length",
                )
            errors[i] = first
            if first is not None:
                continue
            peaks = np.ascontiguousarray(out["peak_load_n"])
            found.median_n[i], found.p90_n[i] = np.percentile(peaks, [50.0, 90.0])
            found.head_p90_n[i] = np.percentile(out["head_peak_n"], 90.0, axis=0)
            found.quantiles_n[i] = np.quantile(peaks, levels)
            found.share_above[i, given[i]] = (loads > what.strength_n[i]).mean(axis=0)[given[i]]
            found.carried_share[i] = (of_samples == Status.CARRIED).mean()
            found.influence[i], found.direction[i], found.explained[i] = rank_influence(points, peaks)
        if progress is not None:
            progress(start + len(block), len(good))
    return replace(found, errors=tuple(errors))
