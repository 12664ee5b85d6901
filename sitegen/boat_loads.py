"""What the sea does to one boat, as her page and the interface tell it: one wave strike, and the ride."""

from __future__ import annotations

import math
from dataclasses import dataclass, fields

from sizing.model import RideColumns, StrikeColumns


@dataclass(frozen=True)
class Strike:
    """The wave strike on one boat; `history` is (time s, bridle load N, boat speed m/s).

    `quantiles_n` are the peaks of the varied strikes, each for an equal share of `samples`; none without any.
    """

    reason_not_computed: str
    reason_not_sampled: str
    peak_n: float
    peak_time_s: float
    boat_speed_mps: float
    distance_m: float
    head_peak_n: tuple[float, ...]
    median_n: float
    p90_n: float
    quantiles_n: tuple[float, ...]
    samples: int
    share_above: tuple[tuple[str, float], ...]
    share_above_published: tuple[tuple[str, float], ...]
    sensitivity: tuple[tuple[str, float], ...]
    history: tuple[tuple[float, ...], tuple[float, ...], tuple[float, ...]] | None


@dataclass(frozen=True)
class Ride:
    """Lying to the drogue between strikes: loads at the bridle in the policy's regular sea."""

    reason_not_computed: str
    greatest_n: float
    least_n: float
    mean_n: float
    slack_share: float
    cycles_per_hour: float
    working_share: float
    storm_hours: float


def strike_of(strike: StrikeColumns | None, row: int) -> Strike | None:
    """Return one boat's wave strike, None where no strike was run."""
    if strike is None:
        return None
    history = strike.history.get(row)
    return Strike(
        reason_not_computed=strike.not_computed.get(row, ""),
        reason_not_sampled=strike.not_sampled.get(row, ""),
        peak_n=float(strike.peak_n[row]),
        peak_time_s=float(strike.peak_time_s[row]),
        boat_speed_mps=float(strike.boat_speed_mps[row]),
        distance_m=float(strike.distance_m[row]),
        head_peak_n=tuple(strike.head_peak_n[row].tolist()),
        median_n=float(strike.median_n[row]),
        p90_n=float(strike.p90_n[row]),
        quantiles_n=tuple(filter(math.isfinite, strike.peak_quantiles_n[row].tolist())),
        samples=strike.samples,
        share_above=tuple((name, float(column[row])) for name, column in strike.share_above.items()),
        share_above_published=tuple(
            (name, float(column[row])) for name, column in strike.share_above_published.items()
        ),
        sensitivity=tuple((name, float(column[row])) for name, column in strike.sensitivity.items()),
        history=None if history is None else tuple(tuple(part.tolist()) for part in history),  # type: ignore[arg-type]
    )


def ride_of(ride: RideColumns | None, row: int) -> Ride | None:
    """Return one boat's ride, None where none was computed."""
    if ride is None:
        return None
    columns = [field.name for field in fields(Ride) if field.name != "reason_not_computed"]
    return Ride(ride.not_computed.get(row, ""), **{name: float(getattr(ride, name)[row]) for name in columns})
