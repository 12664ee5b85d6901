"""Pages as they are laid out, before they are a PDF: what is on each, and where."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import NamedTuple, TypeAlias

from sizing.order.loft.lettering import Face


class Letters(NamedTuple):
    """One line of text with its foot at a place; pt, y up from the lower edge."""

    x: float
    y: float
    text: str
    face: Face
    size: float
    grey: float = 0.0


class Rule(NamedTuple):
    """A straight line; pt."""

    x: float
    y: float
    to_x: float
    to_y: float
    width: float = 0.5
    dashed: bool = False


class Box(NamedTuple):
    """A rectangle from its lower left corner, filled with a grey or drawn round; pt."""

    x: float
    y: float
    width: float
    height: float
    fill: float | None = None


class Squares(NamedTuple):
    """A black-and-white pattern of squares in a square, rows from the top; pt."""

    x: float
    y: float
    side: float
    rows: tuple[bytes, ...]


class Trace(NamedTuple):
    """A line through points, each (x, y), filled with a grey if it is closed round something; pt."""

    points: tuple[tuple[float, float], ...]
    width: float = 0.7
    fill: float | None = None
    dashed: bool = False
    grey: float = 0.0


Mark: TypeAlias = Letters | Rule | Box | Squares
Drawn: TypeAlias = Mark | Trace


@dataclass
class Page:
    """One sheet of paper and what is on it."""

    width: float
    height: float
    marks: list[Drawn] = field(default_factory=list)
