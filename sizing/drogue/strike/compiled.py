"""The compiled code of strike and ride made ahead of its use."""

from __future__ import annotations

import numpy as np

from sizing.drogue.strike import ride_kernel
from sizing.drogue.strike.line import RIG
from sizing.drogue.strike.riding import ride_rows
from sizing.drogue.strike.run import DEFAULT_SETTINGS, march_block


def compile_all() -> None:
    """Compile both, on no boats, and keep them where the compiler keeps its work for later runs."""
    nobody = np.zeros(0, dtype=RIG)
    march_block(nobody, DEFAULT_SETTINGS, ledger=False)
    ride_rows(nobody, np.zeros(0, dtype=ride_kernel.SEA), DEFAULT_SETTINGS)
