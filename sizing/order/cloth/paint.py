"""Puts strokes and words on the pages of a PDF, one millimetre of drawing to one millimetre of paper."""

from __future__ import annotations

import io
import math
from collections.abc import Sequence
from typing import Final

from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from reportlab.pdfgen.pathobject import PDFPathObject

from sizing.order.cloth.drawing import MM, PENS, Drawing, Figure, Stroke, Words
from sizing.order.cloth.tiles import Tile

_ARC_STEP_RAD: Final = math.pi / 12.0
_FONT: Final = "Helvetica"
_CAPITALS: Final = 0.72


class Sheets:
    """Pages of one PDF that show windows on one drawing; dates and identifiers are constant."""

    def __init__(self, drawing: Drawing) -> None:
        self._drawing = drawing
        self._buffer = io.BytesIO()
        self._canvas = Canvas(self._buffer, invariant=1, pageCompression=1)
        self._canvas.setTitle(drawing.title)
        self._canvas.setAuthor("Drogue Muster")
        self._canvas.setCreator("Drogue Muster")
        self._canvas.setViewerPreference("PrintScaling", "None")
        rows = [row for stroke in drawing.piece.strokes for row in stroke.corners]
        self._reach_mm = 2.0 + max(math.hypot(x, y) for x, y, _ in rows)

    def page(
        self,
        size_mm: tuple[float, float],
        tile: Tile,
        corner_mm: tuple[float, float],
        marks: Sequence[Figure],
        footer: Figure | None = None,
        drawing: Drawing | None = None,
    ) -> None:
        """Add a page with a window on the drawing at a corner, marks in the drawing's place, and a footer.

        `drawing` is shown in place of the file's own, if given.
        """
        shown = drawing or self._drawing
        canvas = self._canvas
        canvas.setPageSize((size_mm[0] * mm, size_mm[1] * mm))
        canvas.saveState()
        canvas.scale(mm, mm)
        if footer is not None:
            self._figure(footer)
        canvas.translate(*corner_mm)
        frame = canvas.beginPath()
        frame.rect(0.0, 0.0, tile.width_mm, tile.height_mm)
        canvas.clipPath(frame, stroke=0, fill=0)
        canvas.translate(-tile.low_mm[0], -tile.low_mm[1])
        for figure in (shown.fixed, *marks):
            self._figure(figure)
        for place in shown.places:
            x, y = MM * place.x_m, MM * place.y_m
            if not (tile.low_mm[0] - self._reach_mm < x < tile.high_mm[0] + self._reach_mm):
                continue
            canvas.saveState()
            canvas.translate(x, y)
            canvas.rotate(place.turn_deg)
            self._figure(shown.piece)
            canvas.restoreState()
        canvas.restoreState()
        canvas.showPage()

    def finished(self) -> bytes:
        """Close the file and return it."""
        self._canvas.save()
        return self._buffer.getvalue()

    def _figure(self, figure: Figure) -> None:
        for stroke in figure.strokes:
            self._stroke(stroke)
        for words in figure.words:
            self._words(words)

    def _stroke(self, stroke: Stroke) -> None:
        canvas, pen = self._canvas, PENS[stroke.layer]
        canvas.setLineWidth(pen.width_mm)
        canvas.setStrokeGray(pen.grey)
        canvas.setDash(list(pen.dashes_mm))
        path = canvas.beginPath()
        rows = stroke.corners.tolist()
        path.moveTo(rows[0][0], rows[0][1])
        for i in range(len(rows) if stroke.closed else len(rows) - 1):
            _edge(path, rows[i], rows[(i + 1) % len(rows)])
        if stroke.closed:
            path.close()
        canvas.drawPath(path, stroke=1, fill=0)

    def _words(self, words: Words) -> None:
        canvas = self._canvas
        canvas.saveState()
        canvas.translate(words.x_mm, words.y_mm)
        canvas.rotate(words.turn_deg)
        canvas.setFillGray(PENS[words.layer].grey)
        canvas.setFont(_FONT, words.height_mm / _CAPITALS)
        canvas.drawCentredString(0.0, 0.0, words.text)
        canvas.restoreState()


def _edge(path: PDFPathObject, start: Sequence[float], end: Sequence[float]) -> None:
    """Add a straight, or an arc as cubics over 15 degrees at most: 1e-8 of the radius off the true arc."""
    (x0, y0, bulge), (x1, y1, _) = start, end
    if not bulge:
        path.lineTo(x1, y1)
        return
    sweep = 4.0 * math.atan(bulge)
    reach = (1.0 - bulge * bulge) / (4.0 * bulge)
    centre = ((x0 + x1) / 2.0 - reach * (y1 - y0), (y0 + y1) / 2.0 + reach * (x1 - x0))
    radius, angle = math.hypot(x0 - centre[0], y0 - centre[1]), math.atan2(y0 - centre[1], x0 - centre[0])
    count = math.ceil(abs(sweep) / _ARC_STEP_RAD)
    step = sweep / count
    pull = 4.0 / 3.0 * math.tan(step / 4.0) * radius
    for _ in range(count):
        here, there = (math.cos(angle), math.sin(angle)), (math.cos(angle + step), math.sin(angle + step))
        path.curveTo(
            centre[0] + radius * here[0] - pull * here[1],
            centre[1] + radius * here[1] + pull * here[0],
            centre[0] + radius * there[0] + pull * there[1],
            centre[1] + radius * there[1] - pull * there[0],
            centre[0] + radius * there[0],
            centre[1] + radius * there[1],
        )
        angle += step
