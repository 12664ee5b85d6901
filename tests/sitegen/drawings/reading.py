"""Reading drawings back: elements with their data parts, all coordinates, and estimated boxes of all text."""

from __future__ import annotations

import math
import re
import xml.etree.ElementTree as ET
from dataclasses import dataclass

from sitegen.drawings.lettering import BOLD, text_width

SVG = "{http://www.w3.org/2000/svg}"
PATH_TOKEN = re.compile(r"[MLHVCSQTAZmlhvcsqtaz]|-?(?:[0-9]+\.?[0-9]*|\.[0-9]+)")
ARGUMENTS = {"M": 2, "L": 2, "H": 1, "V": 1, "C": 6, "S": 4, "Q": 4, "T": 2, "A": 7, "Z": 0}
Point = tuple[float, float]


@dataclass(frozen=True)
class TextBox:
    """The estimated box of one line of text."""

    text: str
    left: float
    top: float
    right: float
    bottom: float

    def overlaps(self, other: TextBox) -> bool:
        slack = 0.5
        return (
            self.left < other.right - slack
            and other.left < self.right - slack
            and self.top < other.bottom - slack
            and other.top < self.bottom - slack
        )


def svgs(markup: str) -> list[ET.Element]:
    """Parse one or two drawings that follow each other; entities and outside parts cannot occur."""
    assert "<!" not in markup
    return list(ET.fromstring(f'<all xmlns="{SVG[1:-1]}">{markup}</all>'))  # noqa: S314  own output, checked to have no declarations


def view_box(svg: ET.Element) -> tuple[float, float]:
    left, top, width, height = (float(v) for v in svg.attrib["viewBox"].split())
    assert (left, top) == (0.0, 0.0)
    return width, height


def parts(svg: ET.Element, name: str) -> list[ET.Element]:
    return [e for e in svg.iter() if e.get("data-part") == name]


def length_of(line: ET.Element) -> float:
    x1, y1, x2, y2 = (float(line.attrib[a]) for a in ("x1", "y1", "x2", "y2"))
    return math.hypot(x2 - x1, y2 - y1)


def subpaths(d: str) -> list[list[Point]]:
    """Return the points of each subpath, control points among them, in absolute coordinates."""
    tokens = PATH_TOKEN.findall(d)
    found: list[list[Point]] = []
    x = y = 0.0
    command = ""
    i = 0
    while i < len(tokens):
        if tokens[i].isalpha():
            command = tokens[i]
            i += 1
        upper = command.upper()
        numbers = [float(v) for v in tokens[i : i + ARGUMENTS[upper]]]
        i += ARGUMENTS[upper]
        dx, dy = (x, y) if command.islower() else (0.0, 0.0)
        if upper == "M":
            found.append([])
        if upper == "H":
            x = numbers[0] + dx
        elif upper == "V":
            y = numbers[0] + dy
        elif upper == "A":
            x, y = numbers[5] + dx, numbers[6] + dy
        elif upper == "Z":
            x, y = found[-1][0]
        else:
            pairs = [(numbers[k] + dx, numbers[k + 1] + dy) for k in range(0, len(numbers), 2)]
            found[-1] += pairs[:-1]
            x, y = pairs[-1]
        found[-1].append((x, y))
        if command in "Mm":
            command = "L" if command == "M" else "l"
    return found


def coordinates(svg: ET.Element) -> list[Point]:
    """Return every point of every shape outside `defs`; a turned shape is covered by its turned points."""
    points: list[Point] = []
    defs = {e for d in svg.iter(f"{SVG}defs") for e in d.iter()}
    for e in svg.iter():
        if e in defs:
            continue
        tag = e.tag.removeprefix(SVG)
        own: list[Point] = []
        get = {k: float(v) for k, v in e.attrib.items() if re.fullmatch(r"-?[0-9.]+", v)}
        if tag == "line":
            own = [(get["x1"], get["y1"]), (get["x2"], get["y2"])]
        elif tag == "rect":
            own = [(get["x"], get["y"]), (get["x"] + get["width"], get["y"] + get["height"])]
        elif tag in {"circle", "ellipse"}:
            rx, ry = get.get("r", get.get("rx", 0.0)), get.get("r", get.get("ry", 0.0))
            own = [(get["cx"] - rx, get["cy"] - ry), (get["cx"] + rx, get["cy"] + ry)]
        elif tag == "path":
            own = [p for sub in subpaths(e.attrib["d"]) for p in sub]
        turn = re.fullmatch(r"rotate\(([0-9.-]+) ([0-9.-]+) ([0-9.-]+)\)", e.get("transform", ""))
        if turn:
            a, cx, cy = math.radians(float(turn[1])), float(turn[2]), float(turn[3])
            own = [
                (
                    cx + (x - cx) * math.cos(a) - (y - cy) * math.sin(a),
                    cy + (x - cx) * math.sin(a) + (y - cy) * math.cos(a),
                )
                for x, y in own
            ]
        points += own
    return points


def text_boxes(svg: ET.Element, system: str) -> list[TextBox]:
    """Return the box of every line of text a reader sees who has chosen `system` ("u-metric" or "u-us")."""
    hidden = {"u-metric": "u-us", "u-us": "u-metric"}[system]
    boxes = []

    def shown(e: ET.Element) -> str:
        own = e.text or ""
        for child in e:
            if child.tag != f"{SVG}title" and hidden not in child.get("class", "").split():
                own += shown(child)
            own += child.tail or ""
        return own

    def walk(e: ET.Element) -> None:
        if hidden in e.get("class", "").split():
            return
        if e.tag == f"{SVG}text":
            text = " ".join(shown(e).split())
            size = float(e.get("font-size", svg.attrib["font-size"]))
            width = text_width(text, size) * (BOLD if e.get("font-weight") else 1.0)
            anchor = next((c for c in e.get("class", "").split() if c in {"middle", "end"}), "start")
            x, y = float(e.attrib["x"]), float(e.attrib["y"])
            left = x - {"start": 0.0, "middle": width / 2.0, "end": width}[anchor]
            boxes.append(TextBox(text, left, y - 0.76 * size, left + width, y + 0.22 * size))
            return
        for child in e:
            walk(child)

    walk(svg)
    return boxes
