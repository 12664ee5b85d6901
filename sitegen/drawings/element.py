"""A small builder of SVG elements in which unsafe markup cannot be expressed."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Final, TypeAlias

Value: TypeAlias = str | int | float

# Only these may appear: no script, no style, no event, no reference to anything outside the drawing.
_TAGS: Final = "circle defs desc ellipse g line path pattern rect svg text title tspan"
_ATTRIBUTES: Final = (
    "aria-labelledby class cx cy d data-part fill font-size font-weight height id paint-order patternUnits "
    "r role rx ry stroke-dasharray stroke-width transform viewBox width x x1 x2 y y1 y2"
)
TAGS: Final = frozenset(_TAGS.split(" "))
ATTRIBUTES: Final = frozenset(_ATTRIBUTES.split(" "))
_ESCAPES: Final = str.maketrans(
    {"&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;", "\r": "&#13;", "\n": "&#10;", "\t": "&#9;"}
)
_NOUGHT: Final = re.compile(r"(?<![0-9.])0\.")
_NOT_XML: Final = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
# Marks that turn the reading direction of whatever follows them, also outside the text they stand in.
_DIRECTION_MARKS: Final = re.compile("[\u200e\u200f\u061c\u202a-\u202e\u2066-\u2069]")


@dataclass
class Element:
    """One SVG element: its attributes as they are written, and text as written or further elements inside."""

    tag: str
    attributes: dict[str, str]
    children: list[Element | str] = field(default_factory=list)

    def render(self) -> str:
        """Return the element as text."""
        head = self.tag + "".join([f' {name}="{value}"' for name, value in self.attributes.items()])
        if not self.children:
            return f"<{head}/>"
        inside = "".join([c if isinstance(c, str) else c.render() for c in self.children])
        return f"<{head}>{inside}</{self.tag}>"


def element(tag: str, *children: Element | str, **attributes: Value | None) -> Element:
    """Return an element; `class_` and `stroke_width` become `class` and `stroke-width`, None is left out.

    All text is escaped. Raises ValueError for a tag or an attribute a drawing may not have, and for figures
    that are not finite.

    >>> element("text", "Bow & <stern>", x=1.50, class_="end").render()
    '<text x="1.5" class="end">Bow &amp; &lt;stern&gt;</text>'
    """
    if tag not in TAGS:
        raise ValueError(f"a drawing may not contain the element {tag}")
    written = {}
    for key, value in attributes.items():
        if value is not None:
            name = _attribute(key)
            if isinstance(value, str):
                written[name] = path_data(value) if name == "d" else _escaped(value)
            else:
                text = number(value)
                written[name] = text[1:] if text.startswith("0.") else text
    return Element(tag, written, [_escaped(c) if isinstance(c, str) else c for c in children])


def d(*parts: str | float) -> str:
    """Return path data from its letters and figures.

    >>> d("M", 1.0, 2.5, "l4", 0.126, "z")
    'M1 2.5l4 0.13z'
    """
    text = ""
    for part in parts:
        if isinstance(part, str):
            text += part
        else:
            text += number(part) if text[-1:].isalpha() else f" {number(part)}"
    return text


def path_data(d: str) -> str:
    """Return path data without what separates nothing: blanks before a sign, noughts before a point.

    >>> path_data("M0.5 -0.25L10.5 0.5")
    'M.5-.25L10.5 .5'
    """
    return _NOUGHT.sub(".", clean(d).translate(_ESCAPES).replace(" -", "-"))


@lru_cache(maxsize=256)
def _attribute(key: str) -> str:
    name = key.rstrip("_").replace("_", "-")
    if name not in ATTRIBUTES:
        raise ValueError(f"a drawing may not contain the attribute {name}")
    return name


@lru_cache(maxsize=1 << 12)
def _escaped(text: str) -> str:
    return clean(text).translate(_ESCAPES)


@lru_cache(maxsize=1 << 14)
def number(value: float) -> str:
    """Return a coordinate in plain digits, to a hundredth of a drawing unit.

    >>> number(12.0), number(-0.001), number(3.14159)
    ('12', '0', '3.14')
    """
    if not math.isfinite(value):
        raise ValueError(f"a drawing needs finite figures, not {value}")
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def clean(text: str) -> str:
    """Return `text` without what XML forbids, and without marks that would turn the text around it.

    >>> clean("a\\x00b\\u202ec") == "a\\N{REPLACEMENT CHARACTER}bc"
    True
    """
    if text.isascii() and text.isprintable():
        return text
    return _DIRECTION_MARKS.sub("", _NOT_XML.sub("\N{REPLACEMENT CHARACTER}", text))
