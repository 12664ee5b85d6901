"""A drawing as SVG whose user unit is the millimetre; no scripts, no style sheets, nothing from outside."""

from __future__ import annotations

import math
from html import escape

from sizing.model import FloatArray
from sizing.order.cloth.drawing import MM, PENS, Drawing, Figure, Stroke, Words
from sizing.order.cloth.nesting import ClothLayout
from sizing.order.cloth.sheets import layout_drawing


def layout_svg(layout: ClothLayout, tapes: int = 3, most: int | None = None) -> bytes:
    """Return the cloth layout as a true-scale SVG: width and height in mm, viewBox in the same mm.

    >>> from sizing.drogue.cone import cone_pattern
    >>> from sizing.order.cloth import nest
    >>> from sizing.policy import OrderRules
    >>> layout = nest(cone_pattern(0.127, 0.0381, 0.1524, 0.012), 1.5, 4, OrderRules())
    >>> layout_svg(layout)[:5]
    b'<?xml'
    """
    return _svg(layout_drawing(layout, tapes, most)).encode()


def _svg(drawing: Drawing) -> str:
    (low_x, _), (_, high_y) = drawing.low_mm, drawing.high_mm
    box = f"{_n(low_x)} {_n(-high_y)} {_n(drawing.width_mm)} {_n(drawing.height_mm)}"
    uses = "\n".join(
        f'<use href="#cone" transform="translate({_n(MM * place.x_m)} {_n(-MM * place.y_m)}) '
        f'rotate({-place.turn_deg})"/>'
        for place in drawing.places
    )
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{_n(drawing.width_mm)}mm" '
        f'height="{_n(drawing.height_mm)}mm" viewBox="{box}" font-family="Helvetica, Arial, sans-serif" '
        'fill="none" role="img">\n'
        f"<title>{escape(drawing.title)}</title>\n"
        f'<defs><g id="cone">\n{_group(drawing.piece)}\n</g></defs>\n'
        f"{_group(drawing.fixed)}\n{uses}\n</svg>\n"
    )


def _n(value: float) -> str:
    """A number to the tenth of a micrometre, without a minus zero."""
    return f"{round(value, 4) + 0.0:.4f}".rstrip("0").rstrip(".")


def _group(figure: Figure) -> str:
    return "\n".join([_path(stroke) for stroke in figure.strokes] + [_text(words) for words in figure.words])


def _path(stroke: Stroke) -> str:
    pen = PENS[stroke.layer]
    dashes = f' stroke-dasharray="{" ".join(map(_n, pen.dashes_mm))}"' if pen.dashes_mm else ""
    return (
        f'<path class="{stroke.layer.lower()}" d="{_data(stroke.corners, stroke.closed)}" '
        f'stroke="{_colour(pen.grey)}" stroke-width="{_n(pen.width_mm)}"{dashes}/>'
    )


def _colour(grey: float) -> str:
    return f"#{round(255 * grey):02x}" + 2 * f"{round(255 * grey):02x}"


def _data(corners: FloatArray, closed: bool) -> str:
    steps = [f"M{_n(corners[0, 0])} {_n(-corners[0, 1])}"]
    last = len(corners) if closed else len(corners) - 1
    for i in range(last):
        (x, y, bulge), (to_x, to_y, _) = corners[i], corners[(i + 1) % len(corners)]
        if bulge:
            radius = math.hypot(to_x - x, to_y - y) * (1.0 + bulge * bulge) / (4.0 * abs(bulge))
            steps.append(f"A{_n(radius)} {_n(radius)} 0 0 {int(bulge < 0)} {_n(to_x)} {_n(-to_y)}")
        elif not (closed and i == last - 1):
            steps.append(f"L{_n(to_x)} {_n(-to_y)}")
    return " ".join([*steps, "Z"] if closed else steps)


def _text(words: Words) -> str:
    place = f"translate({_n(words.x_mm)} {_n(-words.y_mm)})"
    turn = f" rotate({_n(-words.turn_deg)})" if words.turn_deg else ""
    return (
        f'<text transform="{place}{turn}" font-size="{_n(words.height_mm / 0.72)}" text-anchor="middle" '
        f'fill="{_colour(PENS[words.layer].grey)}">{escape(words.text)}</text>'
    )
