"""What all papers by role have in common: their letters, the head with the boat's name, room to write in."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from sizing.order.loft.ink import Box, Letters, Rule
from sizing.order.loft.lettering import largest, lettering, width_pt
from sizing.order.loft.page import Flow, Sizes

READ: Final = Sizes(body=11.0, cell=10.0, small=8.5, heading=14.0)
"""To be read with wet hands, at arm's length."""
CLOSE: Final = Sizes(body=10.0, cell=9.0, small=8.0, heading=12.5)
"""To be read at a table."""
BENCH: Final = Sizes(body=9.0, cell=9.0, small=7.5, heading=11.5)
"""To be read on a bench."""
BENCH_CLOSE: Final = Sizes(body=8.5, cell=8.5, small=7.0, heading=11.0)
"""The same, where it saves a side."""
WRITTEN: Final = Sizes(body=11.0, cell=10.5, small=8.5, heading=14.0, row=31.0)
"""The same, with rows that are high enough to write in."""

CAUTION: Final = (
    "Worked out {} from what the entry list says. Advice, not a certificate: this program has seen no boat, "
    "and vouches for nothing. Rules of event and flag state come first. The skipper decides."
)
NOT_WHOLE: Final = "Her name is not printed whole here; the entry number tells which boat it is."
_ENTRY_SIZES: Final = ((26.0, 1), (20.0, 1), (14.0, 2), (9.0, 3))
_NAME_SIZES: Final = ((26.0, 1), (20.0, 1), (15.0, 2), (11.0, 3), (9.0, 4))
_BERTH_PT: Final = 20.0
_HALF: Final = 0.5


def put_head(flow: Flow, entry_no: str, boat_name: str, berth: str = "") -> None:
    """Her entry number and name, as large as they go, each a text of its own; the berth in a frame."""
    words = lettering(berth)
    boxed = 0.0
    top = flow.y
    if words.text:
        face = words.face(bold=True)
        size = min(_BERTH_PT, _BERTH_PT * 0.3 * flow.room / max(width_pt(words.text, face, _BERTH_PT), 1.0))
        wide = width_pt(words.text, face, size)
        boxed = wide + 14.0
        flow.put(Box(flow.left + flow.room - boxed, top - _BERTH_PT * 1.5, boxed, _BERTH_PT * 1.5))
        flow.put(Letters(flow.left + flow.room - boxed + 7.0, top - _BERTH_PT * 1.08, words.text, face, size))
    entry, name = lettering(entry_no), lettering(boat_name)
    room = flow.room - boxed - 10.0
    size, lines = largest(entry, 0.3 * room, _ENTRY_SIZES, bold=True)
    taken = max((width_pt(line, entry.face(bold=True), size) for line in lines), default=0.0) + 14.0
    name_size, shown = largest(name, room - taken, _NAME_SIZES, bold=True) if name.text else (size, ())
    for text, x, pt, some in ((entry, 0.0, size, lines), (name, taken, name_size, shown)):
        flow.y = top
        for line in some:
            flow.line(line, flow.left + x, pt, text.face(bold=True))
    height = max(len(lines) * size, len(shown) * name_size, _BERTH_PT * 1.2 if boxed else 0.0) * 1.28
    flow.y = top - height - 4.0
    if entry.lost or name.lost or not boat_name.strip() or (shown and shown[-1].endswith("…")):
        said = NOT_WHOLE if boat_name.strip() else "The entry list gives her no name."
        flow.text(said, size=flow.sizes.small, grey=0.25)


def put_facts(flow: Flow, facts: Sequence[tuple[str, str]]) -> None:
    """Facts one beside the other as a paragraph, those without words left out."""
    flow.text(" · ".join(f"{name}: {words}" for name, words in facts if words))


def put_lines(flow: Flow, count: int, height: float = 24.0) -> None:
    """Empty lines to write on."""
    for _ in range(count):
        flow.need(height)
        flow.space(height)
        flow.put(Rule(flow.left, flow.y, flow.left + flow.room, flow.y, 0.6))


def put_blanks(flow: Flow, names: Sequence[str], height: float = 26.0) -> None:
    """Names with room to write after each, in one row of equal shares."""
    flow.need(height)
    flow.space(height)
    share = flow.room / len(names)
    for at, name in enumerate(names):
        x = flow.left + at * share
        start = x + width_pt(name, "Helvetica", flow.sizes.body) + 4.0
        flow.put(Letters(x, flow.y + 3.0, name, "Helvetica", flow.sizes.body))
        flow.put(Rule(start, flow.y, x + share - 8.0, flow.y, 0.6))


def put_choices(flow: Flow, names: Sequence[str], height: float = 22.0) -> None:
    """Boxes to tick one of, beside each other."""
    flow.need(height)
    flow.space(height)
    x = flow.left
    for name in names:
        flow.put(Box(x, flow.y + 1.0, 12.0, 12.0))
        flow.put(Letters(x + 18.0, flow.y + 3.0, name, "Helvetica-Bold", flow.sizes.body))
        x += 18.0 + width_pt(name, "Helvetica-Bold", flow.sizes.body) + 24.0
