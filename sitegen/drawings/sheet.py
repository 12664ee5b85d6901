"""One drawing sheet: the SVG root with its title, and the primitives every drawing is made of."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from itertools import pairwise
from typing import Final, Literal, TypeAlias

from sitegen.drawings.element import Element, Value, element, number
from sitegen.drawings.lettering import Words, content_of, words_width
from sitegen.drawings.palette import Role, fill, stroke

Anchor: TypeAlias = Literal["start", "middle", "end"]
Hatch: TypeAlias = Literal["solid", "diagonal", "cross", "dots", "bars", "none"]
Point: TypeAlias = tuple[float, float]
_PREFIX: Final = re.compile(r"[A-Za-z][A-Za-z0-9_-]*")


@dataclass(frozen=True)
class Frame:
    """A width a drawing is laid out for: its class, its width in drawing units, its font size."""

    name: Literal["wide", "narrow", "sketch"]
    width: float
    font: float

    @property
    def narrow(self) -> bool:
        """Whether this is the layout for phones."""
        return self.name != "wide"


WIDE: Final = Frame("wide", 720.0, 14.0)
NARROW: Final = Frame("narrow", 340.0, 13.0)
SKETCH: Final = Frame("sketch", 340.0, 13.0)


class Sheet:
    """A drawing being made. `height` may be set until `svg` is called."""

    def __init__(self, prefix: str, frame: Frame, title: str, description: str) -> None:
        if not _PREFIX.fullmatch(prefix):
            raise ValueError(
                f"an id begins with a letter and has letters, digits, - and _ only: {prefix[:40]!r}"
            )
        self.id = f"{prefix}-{frame.name}"
        self.frame = frame
        self.width = frame.width
        self.font = frame.font
        self.height = 0.0
        self._title = title
        self._description = description
        self._defs: dict[str, Element] = {}
        self._texts: list[Element] = []
        self._drawn: list[Element] = []
        self._inside: list[list[Element | str]] = [[]]

    def svg(self, told_in: Sheet | None = None) -> str:
        """Return the finished drawing as SVG text; its title may be told in another layout of it."""
        font_size = self._commonest("font-size", self._texts, number(self.font))
        lined = [made for made in self._drawn if "stroke-width" in made.attributes]
        stroke_width = self._commonest("stroke-width", lined, None)
        told = (told_in or self).id
        title = element("title", self._title, id=f"{told}-t")
        description = element("desc", self._description, id=f"{told}-d")
        defs = [element("defs", *self._defs.values())] if self._defs else []
        return element(
            "svg",
            *([] if told_in else [title, description]),
            *defs,
            *self._inside[0],
            class_=f"drawing {self.frame.name}",
            role="img",
            aria_labelledby=f"{told}-t {told}-d",
            viewBox=f"0 0 {number(self.width)} {number(self.height)}",
            font_size=font_size,
            stroke_width=stroke_width,
        ).render()

    @staticmethod
    def _commonest(name: str, drawn: Sequence[Element], own: str | None) -> str | None:
        """Take the commonest value of an attribute off what has it, and return it for the whole drawing.

        `own` is the value of what says none.
        """
        values = Counter(made.attributes.get(name, own) for made in drawn)
        commonest = max(values, key=lambda value: values[value], default=own)
        for made in drawn:
            if made.attributes.get(name, own) == commonest:
                made.attributes.pop(name, None)
            elif own is not None:
                made.attributes.setdefault(name, own)
        return commonest

    @contextmanager
    def group(self, class_: str | None = None, part: str | None = None) -> Iterator[Element]:
        """Put what is drawn inside the `with` block into one group."""
        self._inside.append([])
        made = element("g", class_=class_, data_part=part)
        yield made
        made.children.extend(self._inside.pop())
        self._inside[-1].append(made)

    def add(self, tag: str, *children: Element | str, **attributes: Value | None) -> Element:
        """Add one element where drawing goes on."""
        made = element(tag, *children, **attributes)
        self._inside[-1].append(made)
        self._drawn.append(made)
        return made

    def text(
        self,
        x: float,
        y: float,
        words: Words,
        *,
        anchor: Anchor = "start",
        tone: Role = "ink",
        size: float | None = None,
        bold: bool = False,
        halo: bool = False,
        title: str | None = None,
    ) -> None:
        """Add a line of text on the baseline `y`; it cannot turn the direction of any other."""
        classes = [] if tone == "ink" else [fill(tone)]
        classes += ([] if anchor == "start" else [anchor]) + (["halo"] if halo else [])
        hover = [element("title", title)] if title else []
        made = self.add(
            "text",
            *hover,
            *content_of(words),
            x=round(x, 1),
            y=round(y, 1),
            font_size=size,
            font_weight="600" if bold else None,
            class_=" ".join(classes) or None,
            paint_order="stroke" if halo else None,
        )
        self._texts.append(made)

    def lines(
        self,
        x: float,
        y: float,
        rows: Sequence[Words],
        *,
        anchor: Anchor = "start",
        tone: Role = "ink",
        size: float | None = None,
        bold_first: bool = False,
        leading: float = 1.3,
        halo: bool = False,
    ) -> float:
        """Add several lines of text; return the baseline that would come next."""
        step = (size or self.font) * leading
        for i, row in enumerate(rows):
            self.text(x, y, row, anchor=anchor, tone=tone, size=size, bold=bold_first and i == 0, halo=halo)
            y += step
        return y

    def line(
        self,
        x1: float,
        y1: float,
        x2: float,
        y2: float,
        role: Role = "ink",
        width: float = 1.0,
        dash: str | None = None,
        part: str | None = None,
    ) -> None:
        """Add a straight line."""
        self.add(
            "line",
            x1=x1,
            y1=y1,
            x2=x2,
            y2=y2,
            stroke_width=width,
            stroke_dasharray=dash,
            data_part=part,
            class_=stroke(role),
        )

    def path(
        self,
        d: str,
        role: Role | None = "ink",
        width: float = 1.0,
        *,
        area: Role | None = None,
        hatch: str | None = None,
        dash: str | None = None,
        part: str | None = None,
        title: str | None = None,
    ) -> None:
        """Add a path; `area` fills it with a colour, `hatch` with a pattern from `pattern`."""
        self.add(
            "path",
            *([element("title", title)] if title else []),
            d=d,
            stroke_dasharray=dash,
            data_part=part,
            **_painted(role, width, area, hatch),
        )

    def rect(
        self,
        x: float,
        y: float,
        width: float,
        height: float,
        role: Role | None = "ink",
        line: float = 1.0,
        *,
        area: Role | None = None,
        hatch: str | None = None,
        round_: float | None = None,
        part: str | None = None,
        title: str | None = None,
    ) -> None:
        """Add a rectangle."""
        self.add(
            "rect",
            *([element("title", title)] if title else []),
            x=x,
            y=y,
            width=width,
            height=height,
            rx=round_,
            data_part=part,
            **_painted(role, line, area, hatch),
        )

    def circle(
        self,
        x: float,
        y: float,
        r: float,
        role: Role | None = "ink",
        width: float = 1.0,
        *,
        area: Role | None = None,
        part: str | None = None,
        title: str | None = None,
    ) -> None:
        """Add a circle."""
        self.add(
            "circle",
            *([element("title", title)] if title else []),
            cx=x,
            cy=y,
            r=r,
            data_part=part,
            **_painted(role, width, area, None),
        )

    def pattern(self, hatch: Hatch, role: Role) -> str | None:
        """Return the fill that hatches an area, defined once a sheet; None for no fill at all."""
        if hatch == "none":
            return None
        name = f"{self.id}-{hatch}-{role}"
        if name not in self._defs:
            line: dict[str, Value] = {"stroke_width": 1.6, "class_": stroke(role)}
            marks = {
                "solid": [element("rect", width=8, height=8, class_=fill(role))],
                "diagonal": [element("path", d="M0 6L6 0M-1 1L1 -1M5 7L7 5", **line)],
                "cross": [element("path", d="M0 0L6 6M6 0L0 6", **line)],
                "dots": [element("circle", cx=3, cy=3, r=1.3, class_=fill(role))],
                "bars": [element("path", d="M0 3H6", **line)],
            }[hatch]
            self._defs[name] = element(
                "pattern", *marks, id=name, width=6, height=6, patternUnits="userSpaceOnUse"
            )
        return f"url(#{name})"

    def key(
        self,
        x: float,
        y: float,
        width: float,
        entries: Sequence[tuple[Callable[[float, float], None], Words]],
        size: float | None = None,
    ) -> float:
        """Add a key that flows over lines: each entry's sample (drawn 22 wide, centred on y) and its words.

        Returns the y below the key.
        """
        size = size or self.font - 1.0
        left = x
        for sample, words in entries:
            need = 28.0 + words_width(words, size)
            if left > x and left + need > x + width:
                left, y = x, y + size * 1.55
            sample(left, y - size * 0.35)
            self.text(left + 28.0, y, words, size=size)
            left += need + 18.0
        return y + size * 1.1


def _painted(
    role: Role | None, width: float, area: Role | None, hatch: str | None
) -> dict[str, Value | None]:
    """What gives a shape its line and its inside; what has a line's class alone is not filled."""
    classes = [fill(area)] if area else []
    classes += [stroke(role)] if role else []
    inside = None if area else hatch or (None if role else "none")
    return {"fill": inside, "stroke_width": width if role else None, "class_": " ".join(classes) or None}


def polyline(points: Sequence[Point], closed: bool = False) -> str:
    """Return path data through `points`, to a tenth of a unit; steps are shorter to write than places.

    >>> polyline([(0.0, 1.0), (2.04, 3.0), (4.0, 2.5)])
    'M0 1l2 2 2 -0.5'
    """
    # Whole tenths, so that rounding does not add up along the line.
    tenths = [(round(x * 10.0), round(y * 10.0)) for x, y in points]
    steps = " ".join(f"{(c - a) / 10:g} {(d - b) / 10:g}" for (a, b), (c, d) in pairwise(tenths))
    x, y = tenths[0]
    return f"M{x / 10:g} {y / 10:g}" + (f"l{steps}" if steps else "") + ("z" if closed else "")


def both_widths(draw: Callable[[Frame], Sheet]) -> str:
    """Return a drawing laid out for wide and for narrow screens; the style sheet shows one of them."""
    wide = draw(WIDE)
    return wide.svg() + draw(NARROW).svg(wide)
