"""Laid-out pages as the bytes of a PDF; the same pages give the same bytes."""

from __future__ import annotations

import io
from collections.abc import Iterable
from typing import Any

from reportlab.pdfgen.canvas import Canvas
from reportlab.pdfgen.textobject import PDFTextObject

from sizing.order.loft.ink import Box, Letters, Page, Rule, Squares, Trace
from sizing.order.loft.lettering import as_printed, runs


def pdf_bytes(pages: Iterable[Page], title: str) -> bytes:
    """Return pages as one PDF with constant dates and identifiers."""
    buffer = io.BytesIO()
    canvas = Canvas(buffer, invariant=1, pageCompression=1)
    canvas.setTitle(title)
    canvas.setAuthor("Drogue Muster")
    canvas.setCreator("Drogue Muster")
    written: dict[tuple[str, float, str], str] = {}
    for page in pages:
        canvas.setPageSize((page.width, page.height))
        _boxes(canvas, [mark for mark in page.marks if isinstance(mark, Box)])
        for mark in page.marks:
            if isinstance(mark, Rule):
                canvas.setLineWidth(mark.width)
                canvas.setDash([4.0, 3.0] if mark.dashed else [])
                canvas.line(mark.x, mark.y, mark.to_x, mark.to_y)
            elif isinstance(mark, Squares):
                _squares(canvas, mark)
            elif isinstance(mark, Trace):
                _trace(canvas, mark)
        _letters(canvas, [mark for mark in page.marks if isinstance(mark, Letters)], written)
        canvas.showPage()
    canvas.save()
    return buffer.getvalue()


def _boxes(canvas: Canvas, boxes: list[Box]) -> None:
    """The filled ones first: they lie under everything else."""
    for box in boxes:
        if box.fill is not None:
            canvas.setFillGray(box.fill)
            canvas.rect(box.x, box.y, box.width, box.height, stroke=0, fill=1)
    canvas.setLineWidth(0.7)
    canvas.setDash([])
    for box in boxes:
        if box.fill is None:
            canvas.rect(box.x, box.y, box.width, box.height, stroke=1, fill=0)


class _Text(PDFTextObject):
    """A text object each of whose lines is placed by itself.

    So nothing has to know how wide a line was; and a line that stands on many pages is written once.
    """

    def __init__(self, canvas: Canvas, written: dict[tuple[str, float, str], str]) -> None:
        super().__init__(canvas)
        self._written = written

    def put(self, mark: Letters) -> None:
        """Write one line where it belongs, in the font that was set."""
        self.setTextOrigin(mark.x, mark.y)
        code: Any = self
        if mark.face == "DejaVuSans":  # what is written depends on the letters of the lines before
            for font, letters in runs(as_printed(mark.text)):
                self.setFont(font, mark.size)
                code._code.append(code._formatText(letters))
            return
        key = (mark.face, mark.size, mark.text)
        if key not in self._written:
            self._written[key] = code._formatText(mark.text)
        code._code.append(self._written[key])


def _letters(canvas: Canvas, letters: list[Letters], written: dict[tuple[str, float, str], str]) -> None:
    """All text of a page as one text object, which is far quicker than one for each line."""
    text = _Text(canvas, written)
    pen: tuple[str, float, float] | None = None
    for mark in letters:
        if pen != (mark.face, mark.size, mark.grey):
            pen = (mark.face, mark.size, mark.grey)
            text.setFont(mark.face, mark.size)
            text.setFillGray(mark.grey)
        text.put(mark)
    canvas.drawText(text)


def _trace(canvas: Canvas, mark: Trace) -> None:
    """In the order of the page: what is drawn later lies on what was drawn before."""
    path = canvas.beginPath()
    path.moveTo(*mark.points[0])
    for x, y in mark.points[1:]:
        path.lineTo(x, y)
    canvas.setLineWidth(mark.width)
    canvas.setDash([3.0, 2.0] if mark.dashed else [])
    canvas.setStrokeGray(mark.grey)
    if mark.fill is not None:
        path.close()
        canvas.setFillGray(mark.fill)
    canvas.drawPath(path, stroke=1, fill=int(mark.fill is not None))
    canvas.setStrokeGray(0.0)


def _squares(canvas: Canvas, mark: Squares) -> None:
    """Black squares, those beside each other in a row as one."""
    step = mark.side / len(mark.rows)
    canvas.setFillGray(0.0)
    path = canvas.beginPath()
    for down, row in enumerate(mark.rows):
        start = None
        for across, dark in enumerate((*row, 0)):
            if dark and start is None:
                start = across
            elif not dark and start is not None:
                y = mark.y + mark.side - (down + 1) * step
                path.rect(mark.x + start * step, y, (across - start) * step, step)
                start = None
    canvas.drawPath(path, stroke=0, fill=1)
