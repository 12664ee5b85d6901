"""What a strike gives: columns over boats with a status each, one boat's figures, and her time history."""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

from sizing.drogue.strike.line import HEADS
from sizing.drogue.strike.model import FloatArray
from sizing.errors import ComputationError


class Status(IntEnum):
    """How a boat's run ended; from REFUSED on there are no figures."""

    PASSED = 0
    CARRIED = 1
    REFUSED = 2
    DIVERGED = 3
    TOO_STIFF = 4
    LEDGER_OPEN = 5
    UNSETTLED = 6
    LOST = 7


STATUS_TEXT: dict[Status, str] = {
    Status.PASSED: "the wave passed the boat",
    Status.CARRIED: "the wave did not pass the boat: she ran ahead of it, the drogue is too weak; "
    "the peak is that up to there",
    Status.REFUSED: "her figures cannot be used",
    Status.DIVERGED: "the computation diverged",
    Status.TOO_STIFF: "the rig needs too small a time step",
    Status.LEDGER_OPEN: "the energy ledger does not close",
    Status.UNSETTLED: "the load does not repeat from wave to wave",
    Status.LOST: "her computation was lost with its worker",
}


@dataclass(frozen=True)
class BoatStrike:
    """One boat's strike in N, s, m/s, m and J; a head that is not in her rig is not listed."""

    status: Status
    peak_load_n: float
    peak_time_s: float
    speed_at_peak_m_s: float
    run_at_peak_m: float
    head_peak_n: dict[str, float]
    ledger_j: dict[str, float]
    closure: float


@dataclass(frozen=True, eq=False)
class StrikeHistory:
    """Time history at the bridle, and the greatest tension along the line against distance from the boat."""

    time_s: FloatArray
    bridle_load_n: FloatArray
    boat_speed_m_s: FloatArray
    station_m: FloatArray
    envelope_n: FloatArray


@dataclass(frozen=True, eq=False)
class StrikeResult:
    """Columns over boats, shape (n,); ``head_peak_n`` (n, 5) as HEADS, NaN where a head is not rigged.

    ``held_speed_m_s`` and ``held_run_m`` (n, 3): her speed and the distance run at HELD_TIMES_S after the
    crest takes her at its own speed; NaN where the run ended before. ``crest_time_s``: time from there until
    the wave has passed her; NaN where it did not.

    Ledger: kinetic_start + slope_work + crest_work = kinetic_end + elastic_end + cone_loss + line_loss, and
    ``closure`` is what is missing over the left side.
    """

    status: NDArray[np.int8]
    errors: tuple[ComputationError | None, ...]
    peak_load_n: FloatArray
    peak_time_s: FloatArray
    speed_at_peak_m_s: FloatArray
    run_at_peak_m: FloatArray
    head_peak_n: FloatArray
    held_speed_m_s: FloatArray
    held_run_m: FloatArray
    crest_time_s: FloatArray
    slope_work_j: FloatArray
    crest_work_j: FloatArray
    kinetic_start_j: FloatArray
    kinetic_end_j: FloatArray
    elastic_end_j: FloatArray
    cone_loss_j: FloatArray
    line_loss_j: FloatArray
    closure: FloatArray
    end_time_s: FloatArray
    step_s: FloatArray
    segments: FloatArray
    refined: FloatArray

    @property
    def computed(self) -> NDArray[np.bool_]:
        """Which boats have figures."""
        return self.status <= Status.CARRIED

    def boat(self, i: int) -> BoatStrike:
        """Boat ``i``'s figures; raises her ComputationError if she has none."""
        error = self.errors[i]
        if error is not None:
            raise error
        ledger = (
            "kinetic_start_j",
            "slope_work_j",
            "crest_work_j",
            "kinetic_end_j",
            "elastic_end_j",
            "cone_loss_j",
            "line_loss_j",
        )
        return BoatStrike(
            status=Status(int(self.status[i])),
            peak_load_n=float(self.peak_load_n[i]),
            peak_time_s=float(self.peak_time_s[i]),
            speed_at_peak_m_s=float(self.speed_at_peak_m_s[i]),
            run_at_peak_m=float(self.run_at_peak_m[i]),
            head_peak_n={
                name: float(load)
                for name, load in zip(HEADS, self.head_peak_n[i], strict=True)
                if np.isfinite(load)
            },
            ledger_j={name: float(getattr(self, name)[i]) for name in ledger},
            closure=float(self.closure[i]),
        )
