"""The bench card: what is made for one boat, where each cone goes, what joins what, checks at the end."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import chain
from typing import Final

from sizing.chase import practised
from sizing.drogue.cone import cone_over_rope
from sizing.model import Piece
from sizing.order.cloth.tiles import Paper
from sizing.order.loft.bag import Bag, Line
from sizing.order.loft.bag_label import contents_in_words
from sizing.order.loft.build_sheet import CHECK_LIST, checks_of, points, put_joints, put_signatures
from sizing.order.loft.ink import Box, Page
from sizing.order.loft.lengths_shown import feet_inches, metres, small, taped
from sizing.order.loft.page import LEADING, Col, Flow, Sign, Sizes
from sizing.papers.look import BENCH, BENCH_CLOSE, put_head
from sizing.words import in_plain_words, word

_LINES: Final = (
    Col("From outer end", 74, bold=True), Col("Of", 113), Col("Cut", 80),
    Col("Eye to eye", 80), Col("Cones", 34, "right", bold=True), Col("Small end", 77), Col("", 16),
)  # fmt: skip
_OTHER: Final = (
    Col("", 16), Col("Pieces", 42, "right", bold=True), Col("What", 200, bold=True), Col("For", 210),
)  # fmt: skip
_MOST_SIDES: Final = 3
_ABREAST: Final = 5
_MARK: Final = (Col("No.", 25, "right", bold=True), Col("m", 38, "right"), Col("ft, in", 39, "right"))
_MADE: Final = frozenset({"cone", "rope"})
"""Kinds of pieces that have a table of their own on the card."""
_SMALL: Final = frozenset({"thread", "basting tape", "wire", "label"})
"""Kinds of pieces that stand in the pick list alone."""


def bench(bag: Bag, cone_mouth_m: float, paper: Paper) -> list[Page]:
    """Return the card of one boat for whom something is made; `cone_mouth_m` is that of her cones."""
    sides = _laid_out(bag, cone_mouth_m, paper, BENCH)
    closer = _laid_out(bag, cone_mouth_m, paper, BENCH_CLOSE) if len(sides) > _MOST_SIDES else sides
    return closer if len(closer) < len(sides) else sides


def _laid_out(bag: Bag, cone_mouth_m: float, paper: Paper, sizes: Sizes) -> list[Page]:
    kit = bag.kit
    name = f", {kit.boat_name}" if kit.boat_name.strip() else ""
    foot = f"{bag.policy.rally.name}. Advice for planning and checking gear, not a certificate."
    flow = Flow(paper, f"Bench card: entry {kit.entry_no}{name}", foot, sizes)
    flow.space(4.0)
    put_head(flow, kit.entry_no, kit.boat_name)
    flow.text(_what(bag), bold=True)
    for sentence in bag.missing:
        flow.text(f"Not in her bag: {sentence}")
    _put_lines(flow, bag, cone_mouth_m)
    _put_cones(flow, bag)
    _put_other(flow, bag)
    flow.together(lambda page: _put_label(page, bag))
    flow.text(" ".join(caution.text for caution in points()["caution"]))
    _put_marks(flow, bag)
    put_joints(flow, bag)
    flow.heading(CHECK_LIST, keep=120.0)
    flow.points_abreast(checks_of(bag))
    put_signatures(flow)
    return flow.finished()


def _what(bag: Bag) -> str:
    """What is made, in one sentence; nothing of what is not."""
    work = bag.kit.work
    counted = [
        _count(work.rope_pieces, "rope to cut", "ropes to cut"),
        _count(work.splices, "eye to splice", "eyes to splice"),
        _count(work.cones_to_sew, "cone to sew", "cones to sew"),
        _count(work.cones_to_fit, "cone to fit", "cones to fit"),
    ]
    made = ", ".join(filter(None, counted)) or "nothing to sew or splice: parts to fit alone"
    choice = word("plan", bag.plan.choice)
    first = math.ceil(bag.kit.hours)
    hours = f"{practised(bag.plan.hours)}; for a pair of hands that has not done it before, {first}."
    if not bag.plan.hours:
        hours = (
            f"{first} {'hour' if first == 1 else 'hours'} for a pair of hands that has not done it before."
        )
    return f"{choice[0].upper()}{choice[1:]}: {made}. About {hours}"


def _count(count: int, one: str, many: str) -> str:
    return f"{count:,} {one if count == 1 else many}" if count else ""


def _put_lines(flow: Flow, bag: Bag, cone_mouth_m: float) -> None:
    """Every rope that is cut for her, those with cones from the outer end inboard, then the others."""
    pieces = [piece for piece in bag.kit.contents if piece.kind == "rope"]
    if not pieces:
        return
    lines = list(zip(bag.lines, _pieces_of(bag, pieces), strict=True))
    others = [piece for piece in pieces if all(piece is not used for _, used in lines)]
    rows: list[tuple[str | Sign, ...]] = []
    for line, piece in lines:
        size = cone_over_rope(line.diameter_m, cone_mouth_m, bag.policy.sizing)
        rows.append((
            _sentence(line.name), bag.descriptions.get(line.rope, line.rope), _length(piece),
            taped(line.length_m), f"{len(line.marks)}", small(size.small_end_m), Sign.TICK,
        ))  # fmt: skip
    for piece in others:
        name = f"{piece.quantity} × {piece.purpose}" if piece.quantity > 1 else _sentence(piece.purpose)
        finished = taped(bag.finished_m[piece.purpose]) if piece.purpose in bag.finished_m else ""
        of = bag.descriptions.get(piece.item, piece.item)
        rows.append((name, of, _length(piece), finished, "", "", Sign.TICK))
    flow.heading("Rope", keep=60.0)
    flow.table(_LINES, rows)
    flow.text(
        "Lengths are as cut: what splices take is in them. The small end is that of new cones.", size=8.5
    )


def _pieces_of(bag: Bag, pieces: Sequence[Piece]) -> Iterator[Piece]:
    """The piece of rope of each line that is marked, in the order of the lines."""
    for line in bag.lines:
        yield next(
            piece
            for piece in pieces
            if piece.purpose.endswith(line.name) or piece.purpose.startswith("extension")
        )  # fmt: skip


def _put_cones(flow: Flow, bag: Bag) -> None:
    """The new cones by size and cloth, and the old ones that are moved."""
    work = bag.kit.work
    if not work.cones_to_fit:
        return
    flow.heading("Cones", keep=40.0)
    for piece in bag.kit.contents:
        if piece.kind == "cone" and piece.cone is not None:
            flow.point(
                Sign.TICK,
                f"{piece.quantity:,} new, mouth {small(piece.cone.mouth_m)}, small end "
                f"{small(piece.cone.small_end_m)}, of "
                f"{bag.descriptions.get(piece.item, piece.item)}",
            )
    old = work.cones_to_fit - work.cones_to_sew
    if old > 0:
        flow.point(Sign.TICK, f"{old:,} from her old line, each looked over; a torn one is replaced")
    if not bag.lines:
        flow.text("They go in the places of the old ones: her line stays.")


def _put_other(flow: Flow, bag: Bag) -> None:
    others = [piece for piece in bag.kit.contents if piece.kind not in _MADE | _SMALL]
    if not others:
        return
    flow.heading("Other parts", keep=50.0)
    flow.table(
        _OTHER,
        [
            (Sign.TICK, f"{piece.quantity:,}", bag.descriptions.get(piece.item, piece.item),
             in_plain_words(piece.purpose)
             + (f", {_length(piece)} each" if piece.length_m is not None else ""))
            for piece in others
        ],
    )  # fmt: skip


def _put_label(flow: Flow, bag: Bag) -> None:
    """What her bag is marked with, in a frame."""
    flow.space(6.0)
    top = flow.y
    flow.space(4.0)
    name = bag.kit.boat_name.strip() or "no name given"
    flow.text(f"Bag label: entry {bag.kit.entry_no}, {name}", bold=True)
    flow.text(
        f"{bag.pieces} {'piece' if bag.pieces == 1 else 'pieces'}: {contents_in_words(bag.kit)}",
        size=9.0,
    )
    flow.space(4.0)
    flow.put(Box(flow.left - 6.0, flow.y, flow.room + 12.0, top - flow.y))
    flow.space(4.0)


def _put_marks(flow: Flow, bag: Bag) -> None:
    """Where every cone's mouth goes, from the outer eye of its section."""
    if not bag.lines:
        return
    row_pt = flow.sizes.cell * LEADING + 3.0
    tables = [(line, _abreast(line)) for line in bag.lines]
    flow.heading("Marks for the cones", keep=min((len(tables[0][1]) + 5) * row_pt, flow.depth - 60.0))
    flow.text(
        "From the section's outer eye, line hand-taut; every mark from that eye, none from the last. "
        f"Pitch {small(bag.policy.sizing.cone_pitch)}; most a mark may be off "
        f"{1000 * bag.lines[0].marks.tolerance_m:.0f} mm. Cone 1 is outermost.",
        size=8.5,
    )
    for line, rows in tables:
        count = len(line.marks)
        flow.need(min((len(rows) + 3) * row_pt, flow.depth))
        flow.space(4.0)
        flow.text(f"Marks, {line.name}: {count} {'cone' if count == 1 else 'cones'}", bold=True)
        flow.table(_MARK * _ABREAST, rows)


def _abreast(line: Line) -> list[tuple[str, ...]]:
    """The marks of one section as rows of several abreast, to be read down, then across."""
    marks = [(f"{number}", metres(inside), feet_inches(inside)) for number, inside in
             zip(line.marks.number.tolist(), line.marks.in_section_m.tolist(), strict=True)]  # fmt: skip
    down = math.ceil(len(marks) / _ABREAST)
    marks += [("", "", "")] * (down * _ABREAST - len(marks))
    return [tuple(chain.from_iterable(marks[at::down])) for at in range(down)]


def _length(piece: Piece) -> str:
    return taped(piece.length_m) if piece.length_m is not None else ""


def _sentence(text: str) -> str:
    return f"{text[0].upper()}{text[1:]}"
