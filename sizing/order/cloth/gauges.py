"""What a sewn cone is measured with: a gauge for the mouth and one for the small end, at true scale.

The small end's disc is cut out of the middle of the mouth's. The strip measures a rim laid flat, where it is
half as long as round: both of its limits are drawn. A square tells a print that was stretched one way.
"""

from __future__ import annotations

import math
from typing import Final

import numpy as np

from sizing.drogue.cone import ConePattern
from sizing.order.cloth.drawing import (
    CHECK_BAR_MM,
    MM,
    Drawing,
    Figure,
    Layer,
    Stroke,
    Words,
    straight,
)
from sizing.order.cloth.outline import mouth_m, require_pattern, small_end_m

OFF_MOST: Final = 0.02
"""Most that a rim may be off: a mouth narrower by 2 % has 4 % less area, which is what may be wanting of the
number of cones too (“about 90”). [CG87 4.1.1; derived]"""

_GAP_MM: Final = 8.0
_STRIP_MM: Final = 32.0
_LETTERS_MM: Final = 3.2


def gauge_drawing(pattern: ConePattern, told: str = "") -> Drawing:
    """Return both discs, the strip for rims laid flat and the square of 100 mm, the strip at (0, 0). mm.

    `told` says on the strip whose it is, and of when.
    """
    require_pattern(pattern)
    mouth, small = MM * mouth_m(pattern), MM * small_end_m(pattern)
    flat = {"small end": math.pi * small / 2.0, "mouth": math.pi * mouth / 2.0}
    end = (1.0 + OFF_MOST) * flat["mouth"] + 6.0
    strokes = [straight("CUT", (0.0, 0.0), (end, 0.0), (end, _STRIP_MM), (0.0, _STRIP_MM), closed=True)]
    letters = 0.013 * end
    words = [
        _words("A RIM LAID FLAT: one end of it at the left edge,", 0.63 * end, 21.0, letters),
        _words("the other between the dashed lines", 0.63 * end, 15.0, letters),
        _words(told, 0.63 * end, 4.0, min(letters, 0.9 * end / max(len(told), 1))),
    ]
    for name, at in flat.items():
        strokes.append(straight("CHECK", (at, 0.0), (at, _STRIP_MM)))
        limits = ((1.0 - OFF_MOST) * at, (1.0 + OFF_MOST) * at)
        strokes += [straight("SEAM", (x, 0.0), (x, _STRIP_MM)) for x in limits]
        words.append(_words(f"{name} {at:.1f}", limits[0] - 1.5, 0.5 * _STRIP_MM, 2.3, 90.0))
    radius, base = mouth / 2.0, _STRIP_MM + _GAP_MM
    middle = (radius, base + max(radius, CHECK_BAR_MM / 2.0))
    strokes += [_circle("CUT", middle, radius), _circle("CUT", middle, small / 2.0)]
    ring = (radius + small / 2.0) / 2.0
    lesser = 0.7 * _fits(ring, radius)
    words += [
        _words(f"MOUTH {mouth:.1f} mm", middle[0], middle[1] + ring, _fits(ring, radius)),
        _words("cut out; it stands in the mouth,", middle[0], middle[1] - ring + 2.0, lesser),
        _words("the cloth touching all round", middle[0], middle[1] - ring - 2.5, lesser),
        _words("SMALL END", middle[0], middle[1] + 1.0, min(_LETTERS_MM, 0.1 * small)),
        _words(f"{small:.1f} mm", middle[0], middle[1] - 0.15 * small, min(_LETTERS_MM, 0.1 * small)),
    ]
    x, y = mouth + _GAP_MM, middle[1] - CHECK_BAR_MM / 2.0
    far_x, far_y = x + CHECK_BAR_MM, y + CHECK_BAR_MM
    strokes.append(straight("CHECK", (x, y), (far_x, y), (far_x, far_y), (x, far_y), closed=True))
    asked = (
        "Measure this square: 100 mm each way.",
        "If either is off, the print is wrong:",
        "print again at 100 %.",
        "",
        f"A rim may be off by {100 * OFF_MOST:g} %: between the",
        "dashed lines of the strip. Two people",
        "measure the first cone before the rest",
        "are sewn. Glue the gauges on card.",
    )
    words += [
        _words(line, x + CHECK_BAR_MM / 2.0, far_y - 14.0 - 8.0 * k, _LETTERS_MM)
        for k, line in enumerate(asked)
        if line
    ]
    high = (max(end, far_x) + 1.0, max(middle[1] + radius, far_y) + 1.0)
    return Drawing(
        f"Gauges, mouth {mouth:.1f} mm, small end {small:.1f} mm",
        (-1.0, -1.0),
        high,
        Figure(tuple(strokes), tuple(word for word in words if word.text)),
        Figure(()),
        (),
    )


def _fits(ring: float, radius: float) -> float:
    """Height of letters in the ring between the two discs."""
    return min(5.0, 0.25 * (radius - ring))


def _words(text: str, x: float, y: float, height: float, turn: float = 0.0) -> Words:
    return Words("LABELS", text, x, y, height, turn)


def _circle(layer: Layer, middle: tuple[float, float], radius: float) -> Stroke:
    """A circle as four quarters; mm."""
    bulge = math.tan(math.pi / 8.0)
    turns = [k * math.pi / 2.0 for k in range(4)]
    rows = [(middle[0] + radius * math.cos(a), middle[1] + radius * math.sin(a), bulge) for a in turns]
    return Stroke(layer, np.array(rows), closed=True)
