"""Laid-out pages as the bytes of a PDF; the same pages give the same bytes."""

from __future__ import annotations

import io
from collections.abc import Iterable

from reportlab.pdfgen.canvas import Canvas

from sizing.order.loft.lettering import as_printed
from sizing.order.loft.page import Box, Letters, Page, Rule, Squares


def pdf_bytes(pages: Iterable[Page], title: str) -> bytes:
    """Return pages as one PDF with constant dates and identifiers."""
    buffer = io.BytesIO()
    canvas = Canvas(buffer, invariant=1, pageCompression=1)
    canvas.setTitle(title)
    canvas.setAuthor("Drogue Muster")
    canvas.setCreator("Drogue Muster")
    for page in pages:
        canvas.setPageSize((page.width, page.height))
        # greys lie under everything else
        for mark in sorted(page.marks, key=lambda m: not (isinstance(m, Box) and m.fill is not None)):
            _paint(canvas, mark)
        canvas.showPage()
    canvas.save()
    return buffer.getvalue()


def _paint(canvas: Canvas, mark: Letters | Rule | Box | Squares) -> None:
    if isinstance(mark, Letters):
        canvas.setFillGray(mark.grey)
        canvas.setFont(mark.face, mark.size)
        canvas.drawString(mark.x, mark.y, as_printed(mark.text) if mark.face == "DejaVuSans" else mark.text)
    elif isinstance(mark, Rule):
        canvas.setLineWidth(mark.width)
        canvas.setDash([4.0, 3.0] if mark.dashed else [])
        canvas.line(mark.x, mark.y, mark.to_x, mark.to_y)
    elif isinstance(mark, Box):
        if mark.fill is not None:
            canvas.setFillGray(mark.fill)
            canvas.rect(mark.x, mark.y, mark.width, mark.height, stroke=0, fill=1)
        else:
            canvas.setLineWidth(0.7)
            canvas.setDash([])
            canvas.rect(mark.x, mark.y, mark.width, mark.height, stroke=1, fill=0)
    else:
        _squares(canvas, mark)


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
