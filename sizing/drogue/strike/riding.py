"""Lying to the drogue in regular waves: load range, slack share and cycles. [CG87 5.2, 3.3.4]

The boat drifts under a steady wind force and surges with the water of a regular deep-water wave at the
surface, u = (pi H / T) cos(2 pi t / T). Force on her: (displacement x 1.05) du/dt (the wave's own pressure
gradient and the surge added mass) + hull drag on her speed through the water + wind - tension. Line, cones
and scheme are those of the strike. The water round the cones is taken as still: they lie astern and sink
with the end weight, so this is on the safe side for the range. The wave grows over the first two periods;
whole periods are counted once the load repeats.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sizing.drogue.strike import kernel, ride_kernel
from sizing.drogue.strike.model import STANDARD_GRAVITY_M_S2, FloatArray
from sizing.drogue.strike.result import Status
from sizing.drogue.strike.rig import StrikeRigs, named, problems
from sizing.drogue.strike.run import DEFAULT_SETTINGS, Settings, in_blocks
from sizing.errors import ComputationError

STORM_CYCLES = 10_000
SETTLE_CYCLES, COUNTED_CYCLES = 10, 4
REPEAT_TOLERANCE = 0.05
RIDE_SETTINGS = replace(DEFAULT_SETTINGS, cones_per_node=4)
"""A wave of seconds moves four cones as one: within 1 % of a node a cone, in a quarter of the time."""
BREAKING_STEEPNESS = 1.0 / 7.0


@dataclass(frozen=True, eq=False)
class RideResult:
    """Columns over boats, shape (n,): loads N, slack_share of the time without load, cycles an hour.

    working_share is the greatest load over the line's breaking strength, to be set against the 10 % of
    [CG87 6.3]; hours_to_storm_cycles how long 10,000 cycles last [CG87 3.3.4]. Boats without figures are
    NaN, with the reason.
    """

    status: NDArray[np.int8]
    errors: tuple[ComputationError | None, ...]
    greatest_load_n: FloatArray
    least_load_n: FloatArray
    mean_load_n: FloatArray
    slack_share: FloatArray
    cycles_per_hour: FloatArray
    working_share: FloatArray
    hours_to_storm_cycles: FloatArray


def ride(
    boats: StrikeRigs,
    wave_height_m: ArrayLike,
    wave_period_s: ArrayLike,
    wind_force_n: ArrayLike,
    breaking_strength_n: ArrayLike,
    labels: Sequence[str] | None = None,
    settings: Settings = RIDE_SETTINGS,
) -> RideResult:
    """Loads while lying to the drogue in a regular wave of given height and period under a steady wind force.

    Height 0.1 to 30 m, period 2 to 25 s, no steeper than 1/7 (it would break: that is a strike); wind 1 N
    to 1 MN.
    """
    n = len(boats)
    height, period, wind, strength = (
        np.ascontiguousarray(np.broadcast_to(np.asarray(a, dtype=np.float64), (n,)))
        for a in (wave_height_m, wave_period_s, wind_force_n, breaking_strength_n)
    )
    errors = list(problems(boats, labels))

    def refuse(bad: NDArray[np.bool_], name: str, values: FloatArray, expected: str) -> None:
        for i in np.flatnonzero(bad):
            errors[i] = errors[i] or ComputationError(
                named(labels, int(i)),
                f"{name} is {values[i]:g}",
                expected,
                "correct the sea or the gear given for her",
            )

    with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
        for name, values, low, high, unit in (
            ("wave_height_m", height, 0.1, 30.0, "m"),
            ("wave_period_s", period, 2.0, 25.0, "s"),
            ("wind_force_n", wind, 1.0, 1e6, "N"),
            ("breaking_strength_n", strength, 100.0, 1e8, "N"),
        ):
            refuse(~((values >= low) & (values <= high)), name, values, f"{low:g} to {high:g} {unit}")
        steepness = height * 2.0 * np.pi / (STANDARD_GRAVITY_M_S2 * period**2)
        refuse(~(steepness <= BREAKING_STEEPNESS), "wave height over length", steepness, "at most 1/7")
    rows = boats.rows()
    seas = np.empty(n, dtype=ride_kernel.SEA)
    seas["height_m"], seas["period_s"], seas["wind_n"] = height, period, wind
    out = np.zeros(n, dtype=ride_kernel.RIDE)
    out.view(np.float64)[:] = np.nan
    which = np.flatnonzero([e is None for e in errors])

    def work(block: NDArray[np.int64]) -> None:
        out[block] = ride_rows(rows[block], seas[block], settings)

    in_blocks(work, which, settings.threads)
    status = np.full(n, Status.REFUSED, dtype=np.int8)
    for i in which:
        code, greatest, before = (float(out[name][i]) for name in ("code", "greatest_n", "before_n"))
        if code == kernel.TOO_STIFF:
            status[i], found = Status.TOO_STIFF, "the rig needs too small a time step"
        elif code == kernel.DIVERGED or not np.isfinite(greatest):
            status[i], found = Status.DIVERGED, "the computation diverged"
        elif abs(greatest - before) > REPEAT_TOLERANCE * greatest:
            status[i], found = (
                Status.UNSETTLED,
                f"the greatest load went from {before:.0f} to {greatest:.0f} N",
            )
        else:
            status[i] = Status.PASSED
            continue
        errors[i] = ComputationError(
            named(labels, int(i)),
            found,
            f"a load that repeats from wave to wave after {SETTLE_CYCLES} waves",
            "check stiffness, masses and lengths, or try a slightly different period",
        )
    ok = status == Status.PASSED
    out[~ok] = np.array([(np.nan,) * len(out.dtype.names or ())], dtype=out.dtype)[0]
    return RideResult(
        status=status,
        errors=tuple(errors),
        greatest_load_n=out["greatest_n"].copy(),
        least_load_n=out["least_n"].copy(),
        mean_load_n=out["mean_n"].copy(),
        slack_share=out["slack_share"].copy(),
        cycles_per_hour=np.where(ok, 3600.0 / np.where(ok, period, 1.0), np.nan),
        working_share=out["greatest_n"] / np.where(ok, strength, 1.0),
        hours_to_storm_cycles=np.where(ok, STORM_CYCLES * period / 3600.0, np.nan),
    )


def ride_rows(rows: NDArray[np.void], seas: NDArray[np.void], settings: Settings) -> NDArray[np.void]:
    """A RIDE record for each row, in this thread, NaN where nothing could be computed."""
    out = np.zeros(len(rows), dtype=ride_kernel.RIDE)
    out.view(np.float64)[:] = np.nan
    ride_kernel.ride_many(
        rows, seas, settings.cones_per_node, settings.bare_spacing_m, settings.step_fraction,
        SETTLE_CYCLES, COUNTED_CYCLES, out,
    )  # fmt: skip
    return out
