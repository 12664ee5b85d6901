"""The published points the sizing runs through, in SI units [CG87 6.1, 6.2], and unit factors [SP 811]."""

from __future__ import annotations

from typing import Final

POUND_KG: Final = 0.45359237
POUND_FORCE_N: Final = 4.4482216152605
FOOT_M: Final = 0.3048
INCH_M: Final = 0.0254
KNOT_MPS: Final = 1852.0 / 3600.0
GRAVITY_MPS2: Final = 9.80665

LOW_DISPLACEMENT_KG: Final = 7_500.0 * POUND_KG
HIGH_DISPLACEMENT_KG: Final = 60_000.0 * POUND_KG
LOW_DIAMETER_M: Final = 4.0 * FOOT_M
HIGH_DIAMETER_M: Final = 5.5 * FOOT_M
LOW_LOAD_N: Final = 7_500.0 * POUND_FORCE_N
HIGH_LOAD_N: Final = 36_000.0 * POUND_FORCE_N
