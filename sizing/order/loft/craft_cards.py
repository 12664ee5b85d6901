"""The sewing card and the rigging card of one kit: two sides each at most, drawings beside the steps.

The words are those of `steps.toml`, the figures the kit's own. Whoever has bag and card needs nothing else.
"""

from __future__ import annotations

from typing import Final

from sizing.drogue.cone import pattern_of, usual_cone
from sizing.order.cloth.tiles import Paper
from sizing.order.loft.bag import Bag
from sizing.order.loft.build_sheet import Point, figures, occasions, points, put_joints_in_short
from sizing.order.loft.craft_pictures import HIGH_PT, WIDE_PT, Shown, picture
from sizing.order.loft.ink import Box, Drawn, Letters, Rule, Squares, Trace
from sizing.order.loft.lettering import lettering, wrapped
from sizing.order.loft.page import LEADING, Flow, Sizes

SIDES: Final = 2
LEAST_PT: Final = 10.0
"""Least size of the steps, to be read at arm's length from a table."""
JOINTS: Final = Sizes(10.0, 9.0, 7.5, 13.0)
"""What joins what is looked up joint by joint, in smaller letters than the steps."""
CARDS: Final = {"sewing": "Sewing card", "rigging": "Rigging card"}
_SIZES: Final = (13.0, 12.5, 12.0, 11.5, 11.0, 10.5, 10.0)
_INDENT: Final = 24.0
_GAP: Final = 6.0


def craft_cards(bag: Bag, paper: Paper) -> list[Flow]:
    """Return the cards that this kit has work for: sewing where cones are new, rigging for all."""
    cards = ["sewing"] if bag.kit.work.cones_to_sew else []
    return [card(bag, name, paper) for name in (*cards, "rigging")]


def card(bag: Bag, name: str, paper: Paper) -> Flow:
    """Return one card, in the largest letters with which it has two sides at most."""
    for size in _SIZES:
        flow = _laid_out(bag, name, paper, Sizes(size, 10.0, 8.0, 14.0))
        if len(flow.pages) <= SIDES:
            break
    return flow


def steps_of(bag: Bag, name: str) -> list[Point]:
    """Return the steps of one card that this kit has work for."""
    hers = occasions(bag)
    return [step for step in points()["step"] if step.card == name and step.when in hers]


def _laid_out(bag: Bag, name: str, paper: Paper, sizes: Sizes) -> Flow:
    boat = f", {bag.kit.boat_name}" if bag.kit.boat_name.strip() else ""
    foot = f"{bag.policy.rally.name}. Advice for planning and checking gear, not a certificate."
    flow = Flow(paper, f"{CARDS[name]}: entry {bag.kit.entry_no}{boat}", foot, sizes)
    told = figures(bag)
    shown = shown_of(bag)
    for number, step in enumerate(steps_of(bag, name), 1):
        _put_step(flow, number, step, step.title.format_map(told), step.text.format_map(told), shown)
    if name == "rigging":
        flow.sizes = JOINTS
        put_joints_in_short(flow, bag)
    return flow


def shown_of(bag: Bag) -> Shown:
    """Return what the drawings are of: the kit's first cone, or the policy's usual one."""
    sizes = [piece.cone for piece in bag.kit.contents if piece.cone is not None]
    size = sizes[0] if sizes else usual_cone(bag.policy.sizing.cone_mouth, bag.policy.sizing)
    told = figures(bag)
    pattern = pattern_of(size, bag.policy)
    return Shown(pattern, bag.policy.order.tapes_per_cone, told["mouth_flat"].split(" (")[0])


def _put_step(flow: Flow, number: int, step: Point, title: str, text: str, shown: Shown) -> None:
    """One step that is not parted: number, title, text and source, its drawing at the right."""
    body, tiny = flow.sizes.body, flow.sizes.small
    room = flow.room - _INDENT - (WIDE_PT + 10.0 if step.picture else 0.0)
    head, words = lettering(title), lettering(text)
    heads = wrapped(head, head.face(bold=True), body + 1.0, room, 10)
    lines = wrapped(words, words.face(), body, room, 40)
    high = len(heads) * (body + 1.0) * LEADING + len(lines) * body * LEADING + tiny * LEADING
    whole = max(high, HIGH_PT if step.picture else 0.0) + _GAP
    flow.need(whole)
    top = flow.y
    flow.put(Letters(flow.left, top - (body + 1.0), f"{number}", "Helvetica-Bold", body + 3.0))
    for line in heads:
        flow.line(line, flow.left + _INDENT, body + 1.0, head.face(bold=True))
    for line in lines:
        flow.line(line, flow.left + _INDENT, body, words.face())
    flow.line(step.source, flow.left + _INDENT, tiny, "Helvetica", 0.35)
    if step.picture:
        x = flow.left + flow.room - WIDE_PT
        for mark in picture(step.picture, shown):
            flow.put(_moved(mark, x, top - HIGH_PT))
        flow.put(Box(x - 2.0, top - HIGH_PT - 1.0, WIDE_PT + 2.0, HIGH_PT + 1.0))
    flow.y = top - whole
    flow.put(Rule(flow.left, flow.y + 2.0, flow.left + flow.room, flow.y + 2.0, 0.3))


def _moved(mark: Drawn, x: float, y: float) -> Drawn:
    if isinstance(mark, Trace):
        return mark._replace(points=tuple((px + x, py + y) for px, py in mark.points))
    if isinstance(mark, Rule):
        return mark._replace(x=mark.x + x, y=mark.y + y, to_x=mark.to_x + x, to_y=mark.to_y + y)
    assert not isinstance(mark, Squares)
    return mark._replace(x=mark.x + x, y=mark.y + y)
