"""How the files of a cone's pattern are called."""

from __future__ import annotations

from typing import Final

from sizing.drogue.cone import usual_cone
from sizing.model import ConeSize
from sizing.policy import SizingRules

_PATTERN: Final = "cone-pattern"


def pattern_stem(size: ConeSize, rules: SizingRules) -> str:
    """The start of the names of a cone's pattern files; a small end that is not the usual one is named too.

    >>> [pattern_stem(ConeSize(0.127, end), SizingRules()) for end in (0.0381, 0.045)]
    ['cone-pattern-127-mm', 'cone-pattern-127-mm-small-end-45-mm']
    """
    own = "" if size == usual_cone(size.mouth_m, rules) else f"-small-end-{_mm(size.small_end_m)}"
    return f"{_PATTERN}-{_mm(size.mouth_m)}{own}"


def _mm(length_m: float) -> str:
    """Millimetres to the tenth, as they stand in a file name."""
    return f"{1000 * length_m:.1f}-mm".replace(".0-mm", "-mm").replace(".", "-")
