"""Write the kept tables anew: ``python -m sizing.drogue.calibration``, after a change of model or rope."""

from __future__ import annotations

import math
import sys
from pathlib import Path

from sizing.drogue.calibration.predict import fitted_slope_rad, predict, rope_effects
from sizing.drogue.calibration.tables import PREDICTIONS, ROPE_EFFECT, write


def main() -> None:
    """Print the slope as fitted, and write both tables beside this file."""
    folder = Path(__file__).parent
    sys.stdout.write(f"fitted slope {math.degrees(fitted_slope_rad()):.3f} degrees\n")
    write(predict(), folder / PREDICTIONS)
    write(rope_effects(), folder / ROPE_EFFECT)


if __name__ == "__main__":
    main()
