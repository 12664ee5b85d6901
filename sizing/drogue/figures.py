"""The type of a formula's argument and result: one SI float, or an array of them."""

from __future__ import annotations

from typing import TypeVar

from sizing.model import FloatArray

Figure = TypeVar("Figure", float, FloatArray)
