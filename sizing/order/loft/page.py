"""A pen that runs down page after page: paragraphs, points and tables laid out on paper of one size."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import Enum
from functools import lru_cache
from typing import Final, Literal, TypeAlias

from sizing.order.cloth.tiles import PAPERS_MM, Paper
from sizing.order.loft.ink import Box, Drawn, Letters, Page, Rule
from sizing.order.loft.lettering import Face, lettering, one_line, width_pt, wrapped

PT_PER_MM: Final = 72.0 / 25.4
MARGIN_PT: Final = 15.0 * PT_PER_MM
BODY_PT: Final = 9.5
CELL_PT: Final = 8.5
SMALL_PT: Final = 7.5
LEADING: Final = 1.28


@dataclass(frozen=True)
class Sizes:
    """Sizes of letters on one kind of paper, and the least height of a row of its tables; pt."""

    body: float = BODY_PT
    cell: float = CELL_PT
    small: float = SMALL_PT
    heading: float = 13.0
    row: float = 0.0


LOFT: Final = Sizes()


class Sign(Enum):
    """What a cell or a point may hold that is no text."""

    TICK = "a box to be ticked"


Cell: TypeAlias = str | Sign

_HEAD_PT: Final = 22.0
_FOOT_PT: Final = 26.0
_PAD_PT: Final = 3.0
_TICK_PT: Final = 8.0


_Lines: TypeAlias = tuple[tuple[Cell, ...], Face]


@dataclass(frozen=True)
class Col:
    """One column of a table: its head, its share of the width, and the side its cells stand at.

    A cell that needs more than `lines` lines ends with an ellipsis. `bold` columns stand out, of a `blank`
    one each cell is drawn round, to be written in.
    """

    head: str
    share: float
    side: Literal["left", "right"] = "left"
    lines: int = 10
    bold: bool = False
    blank: bool = False


class Flow:
    """Lays text and tables down the pages of one part, each page with the part's title above."""

    def __init__(self, paper: Paper, title: str, foot: str, sizes: Sizes = LOFT) -> None:
        self.sizes = sizes
        self.width, self.height = (side * PT_PER_MM for side in PAPERS_MM[paper])
        self.pages: list[Page] = []
        self._paper, self._title, self._foot = paper, title, foot
        self.y = 0.0
        self.new_page()

    @property
    def left(self) -> float:
        """Left edge of what is laid out."""
        return MARGIN_PT

    @property
    def room(self) -> float:
        """Width of what is laid out."""
        return self.width - 2 * MARGIN_PT

    @property
    def depth(self) -> float:
        """Height for what is laid out, on one page."""
        return self.height - 2 * MARGIN_PT - _HEAD_PT - _FOOT_PT

    @property
    def left_over(self) -> float:
        """Height that is still free on this page."""
        return self.y - MARGIN_PT - _FOOT_PT

    def new_page(self) -> None:
        """Go on at the top of the next page."""
        self.pages.append(Page(self.width, self.height))
        self.y = self.height - MARGIN_PT - _HEAD_PT

    def need(self, height: float) -> None:
        """Go to the next page unless so much is free on this one."""
        if self.left_over < min(height, self.depth):
            self.new_page()

    def put(self, mark: Drawn) -> None:
        """Put a mark on the page as it is."""
        self.pages[-1].marks.append(mark)

    def space(self, height: float) -> None:
        """Leave some height free."""
        self.y -= height

    def line(self, text: str, x: float, size: float, face: Face, grey: float = 0.0) -> None:
        """Put one line at the pen and move the pen below it."""
        self.y -= size * LEADING
        self.put(Letters(x, self.y + 0.28 * size, text, face, size, grey))

    def text(
        self, content: str, *, size: float = 0.0, bold: bool = False, indent: float = 0.0, grey: float = 0.0
    ) -> None:
        """Lay a paragraph out over the width, in the size of the body where none is given."""
        size = size or self.sizes.body
        words = lettering(content)
        face = words.face(bold=bold)
        for line in wrapped(words, face, size, self.room - indent, 200):
            self.need(size * LEADING)
            self.line(line, self.left + indent, size, face, grey)

    def heading(self, content: str, keep: float = 60.0) -> None:
        """Lay a heading out that stays together with so much of what follows it."""
        self.need(30.0 + keep)
        if self.left_over < self.depth:
            self.space(10.0)
        self.text(content, size=self.sizes.heading, bold=True)
        self.space(3.0)

    def point(self, sign: Cell, content: str, title: str = "", source: str = "") -> None:
        """Lay out one point: a sign or a box, a bold title, the text, and its source in small letters."""
        indent, body, tiny = 18.0, self.sizes.body, self.sizes.small
        head, words, small = lettering(title), lettering(content), lettering(source)
        room = self.room - indent
        titles = wrapped(head, head.face(bold=True), body, room, 20) if title else ()
        lines = wrapped(words, words.face(), body, room, 200)
        beside = width_pt(lines[-1], words.face(), body) + 5.0
        fits = beside + width_pt(small.text, small.face(), tiny) <= room
        self.need((len(titles) + len(lines) + (not fits)) * body * LEADING)
        foot = self.y - body * LEADING + 0.28 * body
        if isinstance(sign, Sign):
            self.put(Box(self.left, foot - 1.2, _TICK_PT, _TICK_PT))
        else:
            self.put(Letters(self.left, foot, sign, "Helvetica-Bold", body))
        for line in titles:
            self.line(line, self.left + indent, body, head.face(bold=True))
        for line in lines:
            self.line(line, self.left + indent, body, words.face())
        if source and fits:
            where = self.left + indent + beside
            self.put(Letters(where, self.y + 0.28 * body, small.text, small.face(), tiny, 0.35))
        elif source:
            self.line(
                one_line(small, small.face(), tiny, room),
                self.left + indent,
                tiny,
                small.face(),
                0.35,
            )
        self.space(3.0)

    def points_abreast(self, contents: Sequence[str]) -> None:
        """Lay out points with a box each in two columns of about one height, both on one page."""
        body, indent, gap = self.sizes.body, 16.0, 12.0
        width = (self.room - gap) / 2.0
        cells = [_cell(content, width - indent, 200, body, bold=False) for content in contents]
        heights = [len(lines) * body * LEADING + 3.0 for lines, _ in cells]
        split = min(range(len(cells) + 1), key=lambda at: max(sum(heights[:at]), sum(heights[at:])))
        self.need(max(sum(heights[:split]), sum(heights[split:])))
        top, ends = self.y, []
        for x, column in ((self.left, cells[:split]), (self.left + width + gap, cells[split:])):
            self.y = top
            for lines, face in column:
                self.put(Box(x, self.y - body * LEADING + 0.28 * body - 1.2, _TICK_PT, _TICK_PT))
                for line in lines:
                    self.line(str(line), x + indent, body, face)
                self.space(3.0)
            ends.append(self.y)
        self.y = min(ends)

    def together(self, lay_out: Callable[[Flow], None]) -> None:
        """Lay something out so that it is not parted, if one page holds it."""
        trial = Flow(self._paper, "", "", self.sizes)
        lay_out(trial)
        if len(trial.pages) == 1:
            self.need(self.depth - trial.left_over)
        lay_out(self)

    def table(self, columns: Sequence[Col], rows: Sequence[Sequence[Cell]], last_bold: bool = False) -> None:
        """Lay a table out; its head stands again on each page it runs on to, and no row is parted."""
        shares = sum(column.share for column in columns)
        widths = [self.room * column.share / shares for column in columns]
        self._head(columns, widths)
        for at, row in enumerate(rows):
            bold = last_bold and at == len(rows) - 1
            cells = [
                _cell(cell, width, column.lines, self.sizes.cell, bold=bold or column.bold)
                for cell, width, column in zip(row, widths, columns, strict=True)
            ]
            height = max(self._height(cells), self.sizes.row)
            if self.left_over < height:
                self.new_page()
                self._head(columns, widths)
            if bold:
                self.put(Rule(self.left, self.y, self.left + self.room, self.y))
            elif at % 2:
                self.put(Box(self.left, self.y - height, self.room, height, 0.95))
            self._row(columns, widths, cells)
            self._frames(columns, widths, height)
            self.y -= height
        self.put(Rule(self.left, self.y, self.left + self.room, self.y))
        self.space(4.0)

    def _head(self, columns: Sequence[Col], widths: Sequence[float]) -> None:
        size = self.sizes.cell
        heads = [
            _cell(c.head, width, c.lines, size, bold=True) for c, width in zip(columns, widths, strict=True)
        ]
        height = self._height(heads)
        self.need(height + max(2 * size * LEADING, self.sizes.row))
        self._row(columns, widths, heads)
        self.y -= height
        self.put(Rule(self.left, self.y, self.left + self.room, self.y, 0.8))

    def _height(self, cells: Sequence[_Lines]) -> float:
        return max(len(lines) for lines, _ in cells) * self.sizes.cell * LEADING + _PAD_PT

    def _frames(self, columns: Sequence[Col], widths: Sequence[float], height: float) -> None:
        """A frame round each cell that is to be written in."""
        x = self.left
        for column, width in zip(columns, widths, strict=True):
            if column.blank:
                self.put(Box(x, self.y - height, width, height, 1.0))
                self.put(Box(x, self.y - height, width, height))
            x += width

    def _row(self, columns: Sequence[Col], widths: Sequence[float], cells: Sequence[_Lines]) -> None:
        size = self.sizes.cell
        x = self.left
        for column, width, (lines, face) in zip(columns, widths, cells, strict=True):
            y = self.y - 0.5 * _PAD_PT
            for line in lines:
                y -= size * LEADING
                if isinstance(line, Sign):
                    self.put(Box(x + _PAD_PT, y + 1.0, _TICK_PT, _TICK_PT))
                    continue
                start = x + _PAD_PT
                if column.side == "right":
                    start = x + width - _PAD_PT - width_pt(line, face, size)
                self.put(Letters(start, y + 0.28 * size, line, face, size))
            x += width

    def finished(self, number: int | None = None) -> list[Page]:
        """Return the pages with title, count and foot on each, numbered as sheets from `number`, if given."""
        words, count = lettering(self._title), len(self.pages)
        foot = lettering(self._foot)
        for at, page in enumerate(self.pages):
            self._frame(page, words.face(bold=True), f"page {at + 1} of {count}", number and number + at)
            room = self.room - 70.0
            title = one_line(words, words.face(bold=True), 10.0, room)
            page.marks.append(
                Letters(self.left, self.height - MARGIN_PT - 9.0, title, words.face(bold=True), 10.0)
            )
            line = one_line(foot, foot.face(), SMALL_PT, room)
            page.marks.append(Letters(self.left, MARGIN_PT, line, foot.face(), SMALL_PT, 0.35))
        return self.pages

    def _frame(self, page: Page, face: Face, count: str, sheet: int | None) -> None:
        right = self.left + self.room
        top, low = self.height - MARGIN_PT, MARGIN_PT
        page.marks.append(
            Letters(right - width_pt(count, "Helvetica", BODY_PT), top - 9.0, count, "Helvetica", BODY_PT)
        )
        page.marks.append(Rule(self.left, top - 14.0, right, top - 14.0, 0.8))
        where = f"sheet {sheet}" if sheet else ""
        page.marks.append(
            Letters(right - width_pt(where, "Helvetica", SMALL_PT), low, where, "Helvetica", SMALL_PT, 0.35)
        )
        page.marks.append(Rule(self.left, low + 12.0, right, low + 12.0))


@lru_cache(maxsize=1 << 15)
def _cell(content: Cell, width: float, most: int, size: float, *, bold: bool) -> _Lines:
    """The lines of one cell and their font."""
    if isinstance(content, Sign):
        return (content,), "Helvetica"
    words = lettering(content)
    face = words.face(bold=bold)
    return wrapped(words, face, size, width - 2 * _PAD_PT, most), face
