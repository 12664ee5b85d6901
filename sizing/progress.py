"""How long work tells its caller how far it is, without knowing who listens."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeAlias

Progress: TypeAlias = Callable[[str, int, int], None]
"""Called with what is being done, how many are done, and how many there are."""


def silent(what: str, done: int, total: int) -> None:
    """Listen to nothing."""
