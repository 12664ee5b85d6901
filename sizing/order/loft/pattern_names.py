"""How the files of a cone's pattern are called."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

_PATTERN: Final = "cone-pattern"


def patterns_of(files: Mapping[str, bytes]) -> dict[str, bytes]:
    """The cone patterns among the loft's files, for the boats' pages: those every sewing hand needs."""
    return {name: files[name] for name in sorted(files) if name.startswith(_PATTERN)}


def pattern_stem(mouth_m: float) -> str:
    """The start of the names of a cone's pattern files; a mouth is told to a tenth of a millimetre.

    >>> pattern_stem(0.127), pattern_stem(0.1524)
    ('cone-pattern-127-mm', 'cone-pattern-152-4-mm')
    """
    return f"{_PATTERN}-{1000 * mouth_m:.1f}-mm".replace(".0-mm", "-mm").replace(".", "-")
