"""Array types: float64 for figures, int64 for counts and positions, int8 for codes."""

from __future__ import annotations

from typing import TypeAlias

import numpy as np
import numpy.typing as npt

FloatArray: TypeAlias = npt.NDArray[np.float64]
IntArray: TypeAlias = npt.NDArray[np.int64]
CodeArray: TypeAlias = npt.NDArray[np.int8]
BoolArray: TypeAlias = npt.NDArray[np.bool_]
