"""Drawings as DXF for cutting machines: millimetres, one layer a kind of line, exact arcs, fixed bytes."""

from __future__ import annotations

import io
import threading
from collections.abc import Iterator
from contextlib import contextmanager

import ezdxf
import numpy as np
from ezdxf import units
from ezdxf.enums import TextEntityAlignment
from ezdxf.filemanagement import new
from ezdxf.layouts.layout import Modelspace

from sizing.drogue.cone import ConePattern
from sizing.model import FloatArray
from sizing.order.cloth.drawing import MM, PENS, Drawing, Figure
from sizing.order.cloth.nesting import ClothLayout
from sizing.order.cloth.outline import placed
from sizing.order.cloth.sheets import layout_drawing, pattern_drawing

_ONE_AT_A_TIME = threading.Lock()


def layout_dxf(layout: ClothLayout, tapes: int = 3, most: int | None = None) -> bytes:
    """Return the cloth layout as DXF in mm, the cloth's corner at (0, 0), every cone drawn out in full.

    Layers CUT, SEAM, TAPE, MARKS, GRAIN, LABELS, CHECK, CLOTH: a machine is given CUT alone.
    """
    return _dxf(layout_drawing(layout, tapes, most))


def pattern_dxf(pattern: ConePattern, tapes: int = 3, told: str = "") -> bytes:
    """Return one cone's pattern as DXF in mm, the sector's centre at (0, 0); layers as in `layout_dxf`."""
    return _dxf(pattern_drawing(pattern, tapes, told))


@contextmanager
def _fixed_dates() -> Iterator[None]:
    """Set the library's dates and identifiers to constants: the same drawing then has the same bytes."""
    with _ONE_AT_A_TIME:
        options = ezdxf.options  # type: ignore[attr-defined]  # public, but not marked as such
        before = options.write_fixed_meta_data_for_testing
        options.write_fixed_meta_data_for_testing = True
        try:
            yield
        finally:
            options.write_fixed_meta_data_for_testing = before


def _dxf(drawing: Drawing) -> bytes:
    with _fixed_dates():
        document = new("R2010", units=units.MM)
        document.header["$MEASUREMENT"] = 1
        for name, pen in PENS.items():
            line = "CONTINUOUS"
            if pen.dashes_mm:
                line = f"DROGUE_{name}"
                signed = [length if k % 2 == 0 else -length for k, length in enumerate(pen.dashes_mm)]
                document.linetypes.add(line, [sum(pen.dashes_mm), *signed])
            document.layers.add(
                name, color=pen.dxf_colour, linetype=line, lineweight=round(100 * pen.width_mm)
            )
        space = document.modelspace()
        _draw(space, drawing.fixed, 0.0, 0.0, 0)
        for place in drawing.places:
            _draw(space, drawing.piece, MM * place.x_m, MM * place.y_m, place.turn_deg)
        # The library registers them on writing, from a set: in another order in every process.
        document.classes.add_required_classes(document.dxfversion)
        document.classes.classes = dict(sorted(document.classes.classes.items()))
        text = io.StringIO()
        document.write(text)
    return document.encode(text.getvalue())


def _draw(space: Modelspace, figure: Figure, x_mm: float, y_mm: float, turn_deg: int) -> None:
    for stroke in figure.strokes:
        rows = placed(stroke.corners, x_mm, y_mm, turn_deg)
        space.add_lwpolyline(
            rows.tolist(), format="xyb", close=stroke.closed, dxfattribs={"layer": stroke.layer}
        )
    for words in figure.words:
        x, y, _ = placed(_point(words.x_mm, words.y_mm), x_mm, y_mm, turn_deg)[0]
        entity = space.add_text(
            words.text, height=words.height_mm, rotation=words.turn_deg + turn_deg,
            dxfattribs={"layer": words.layer},
        )  # fmt: skip
        entity.set_placement((x, y), align=TextEntityAlignment.CENTER)


def _point(x_mm: float, y_mm: float) -> FloatArray:
    return np.array([(x_mm, y_mm, 0.0)])
