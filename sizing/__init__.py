"""The engine: from a fleet to sized boats, findings and an order.

For programs, `muster`, `size_table` and `size` take and give pandas tables: see `sizing.face`. They come in
when they are asked for, so that importing the package costs nothing. To read how the engine works, start with
`sizing.story`.
"""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from sizing.face import Mustered, muster, size, size_table

__all__ = ["Mustered", "muster", "size", "size_table"]


def __getattr__(name: str) -> Any:
    if name not in __all__:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(importlib.import_module("sizing.face"), name)
