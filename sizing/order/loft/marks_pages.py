"""Where every cone goes on one boat's line, for the maker's tape measure."""

from __future__ import annotations

import math
from typing import Final

from sizing.order.loft.bag import Bag, Line
from sizing.order.loft.lengths_shown import feet_inches, metres
from sizing.order.loft.page import CELL_PT, LEADING, Col, Flow

_ABREAST: Final = 3
_ONE: Final = (
    Col("Cone", 34, "right"), Col("from eye (m)", 42, "right"), Col("ft, in", 48, "right"),
    Col("from end (m)", 42, "right"),
)  # fmt: skip
_GAP: Final = Col("", 8)
_ROW_PT: Final = CELL_PT * LEADING + 3.0
_HEAD_PT: Final = 74.0
_INTRO_PT: Final = 50.0


def put_marks(flow: Flow, bag: Bag) -> None:
    """Lay out the marks of every stretch, outer end first; nothing where no line is marked."""
    if not bag.lines:
        return
    first = math.ceil(len(bag.lines[0].marks) / _ABREAST) * _ROW_PT
    flow.heading("Marks table", keep=_INTRO_PT + _HEAD_PT + first)
    tolerance = f"{1000 * bag.lines[0].marks.tolerance_m:.0f} mm"
    end = "the new section's end thimble" if bag.lines[0].name == "new section" else "the end thimble"
    flow.text(
        "Distances to each cone's mouth along the taut line. Measure from the outer eye of the section on "
        f"the bench (“from eye”); “from end” is from {end}, for checking the whole line. No mark may be more "
        f"than {tolerance} off [assumed]. Feet and inches are to the nearest quarter inch. Cone 1 is "
        "outermost."
    )
    for line in bag.lines:
        _put_line(flow, line)


def _put_line(flow: Flow, line: Line) -> None:
    cones = [
        (str(number), metres(inside), feet_inches(inside), metres(whole))
        for number, inside, whole in zip(
            line.marks.number.tolist(), line.marks.in_section_m.tolist(), line.marks.distance_m.tolist(),
            strict=True,
        )
    ]  # fmt: skip
    per_page = max(int((flow.depth - _HEAD_PT - _INTRO_PT) / _ROW_PT), 1) * _ABREAST
    for start in range(0, len(cones), per_page):
        part = cones[start : start + per_page]
        down = math.ceil(len(part) / _ABREAST)
        flow.need(down * _ROW_PT + _HEAD_PT)
        flow.space(8.0)
        title = f"{line.name[0].upper()}{line.name[1:]}: {line.rope}, {1000 * line.diameter_m:.0f} mm rope, "
        title += f"{len(cones)} {'cone' if len(cones) == 1 else 'cones'}, "
        title += f"finished {metres(line.length_m)} m ({feet_inches(line.length_m)}) between its eyes"
        title += f"; {line.cones}" if line.cones else ""
        flow.text(title + (", continued" if start else ""), size=10.0, bold=True)
        flow.space(2.0)
        blank = ("",) * len(_ONE)
        rows = []
        for at in range(down):
            row: tuple[str, ...] = ()
            for block in range(_ABREAST):
                place = at + block * down
                row += (*(("",) if block else ()), *(part[place] if place < len(part) else blank))
            rows.append(row)
        flow.table((*_ONE, *(_GAP, *_ONE) * (_ABREAST - 1)), rows)
