"""Order as people count: A2 before A10, 9 before 010."""

from __future__ import annotations

import re
from typing import Final, TypeAlias

_RUNS: Final = re.compile(r"([0-9]+)")
_LONGEST: Final = 200

NaturalKey: TypeAlias = tuple[tuple[tuple[int, int, str], ...], str]


def natural_key(text: str) -> NaturalKey:
    """Return a key to sort by: runs of plain digits count as numbers, letters without case.

    Texts that differ in case or leading zeros alone keep one fixed order.

    >>> sorted(["A10", "a2", "A1"], key=natural_key)
    ['A1', 'a2', 'A10']
    """
    parts = _RUNS.split(text.strip().casefold()[:_LONGEST])
    runs = tuple(
        (0, int(part), "") if part.isascii() and part.isdigit() else (1, 0, part) for part in parts if part
    )
    return runs, text
