"""The label on a boat's bag: who she is, what is in it, and a code that leads to her page."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from sizing.order.kits import Kit
from sizing.order.loft.bag import Bag
from sizing.order.loft.ink import Letters, Rule, Squares
from sizing.order.loft.lettering import Lettering, largest, lettering, wrapped
from sizing.order.loft.page import Flow

LEAST_PT: Final = 172.0
"""Least height of a label, lines to cut along included."""

_CODE_PT: Final = 118.0
_PAD_PT: Final = 12.0
_NAME_SIZES: Final = ((28.0, 1), (22.0, 2), (17.0, 3), (13.0, 4), (10.0, 5), (8.0, 7))
_ENTRY_SIZES: Final = ((46.0, 1), (34.0, 1), (24.0, 1), (16.0, 2), (10.0, 3), (8.0, 3))
_WORDS: Final[Mapping[str, tuple[str, str]]] = MappingProxyType({
    "rope": ("piece of rope", "pieces of rope"), "tape": ("tape", "tapes"), "cone": ("cone", "cones"),
    "thimble": ("thimble", "thimbles"), "shackle": ("shackle", "shackles"), "chain": ("chain", "chains"),
    "sleeve": ("chafe sleeve", "chafe sleeves"), "bag": ("bag", "bags"), "label": ("label", "labels"),
    "attachment": ("plate", "plates"), "thread": ("length of thread", "lengths of thread"),
    "basting tape": ("length of basting tape", "lengths of basting tape"),
    "block": ("block", "blocks"), "wire": ("length of wire", "lengths of wire"),
})  # fmt: skip
"""One and many of each kind of piece."""


def contents_in_words(kit: Kit) -> str:
    """Return what is in a bag, by kind, as one line."""
    counts: dict[str, int] = {}
    for piece in kit.contents:
        counts[piece.kind] = counts.get(piece.kind, 0) + piece.quantity
    return ", ".join(
        f"{count} {_WORDS.get(kind, (kind, kind))[count != 1]}" for kind, count in counts.items()
    )


def name_notes(kit: Kit, shown: tuple[str, ...], name: Lettering) -> tuple[str, ...]:
    """Return what a reader must know about a name that is not printed whole."""
    notes = []
    if not kit.boat_name.strip():
        notes.append("The entry list gives her no name.")
    if name.lost:
        notes.append("Some of her name cannot be printed here; the entry number tells which boat it is.")
    if shown and shown[-1].endswith("…") and not name.text.endswith("…"):
        notes.append(f"Her name is cut; the entry list has {len(kit.boat_name)} characters.")
    return tuple(notes)


def put_label(flow: Flow, bag: Bag) -> None:
    """Put the label at the head of a page, between two lines to cut along."""
    top, kit = flow.y, bag.kit
    room = flow.room - _CODE_PT - 2 * _PAD_PT
    bags = bag.kit.stowage_bags
    often = f", and print this page {bags} times: it is for {bags} bags" if bags > 1 else ""
    flow.text(
        f"BAG LABEL: cut along the dashed lines and sew it on, in a clear sleeve{often}", size=7.5, grey=0.35
    )
    _cut_line(flow)
    flow.space(4.0)
    code_top = flow.y
    _sized(flow, "Entry " + (kit.entry_no or "(none)"), room, _ENTRY_SIZES)
    name = lettering(kit.boat_name)
    shown = _sized(flow, kit.boat_name, room, _NAME_SIZES) if name.text else ()
    for note in name_notes(kit, shown, name):
        _lines(flow, note, room, 8.0, 2, 0.25)
    flow.space(5.0)
    _lines(
        flow,
        f"{bag.pieces} {'piece' if bag.pieces == 1 else 'pieces'}: {contents_in_words(kit)}",
        room,
        10.0,
        5,
    )
    if bag.missing:
        flow.space(2.0)
        count = len(bag.missing)
        words = "1 thing is not in it" if count == 1 else f"{count} things are not in it"
        _lines(flow, f"{words}: see the pick list.", room, 10.0, 1, bold=True)
    flow.space(3.0)
    _lines(flow, bag.policy.rally.name, room, 9.0, 2, 0.25)
    _code(flow, bag, code_top)
    flow.y = min(flow.y, top - LEAST_PT + 4.0)
    _cut_line(flow)


def _cut_line(flow: Flow) -> None:
    flow.space(4.0)
    flow.put(Rule(flow.left, flow.y, flow.left + flow.room, flow.y, 0.8, dashed=True))


def _sized(flow: Flow, content: str, room: float, sizes: tuple[tuple[float, int], ...]) -> tuple[str, ...]:
    words = lettering(content)
    size, lines = largest(words, room, sizes, bold=True)
    for line in lines:
        flow.line(line, flow.left, size, words.face(bold=True))
    return lines


def _lines(
    flow: Flow, content: str, room: float, size: float, most: int, grey: float = 0.0, *, bold: bool = False
) -> None:
    words = lettering(content)
    for line in wrapped(words, words.face(bold=bold), size, room, most):
        flow.line(line, flow.left, size, words.face(bold=bold), grey)


def _code(flow: Flow, bag: Bag, top: float) -> None:
    """The code at the right, and the address under it in letters."""
    x = flow.left + flow.room - _CODE_PT
    if not bag.address:
        note = lettering(
            "No address of the site was given, so there is no code. Find her page by her entry number."
        )
        for at, line in enumerate(wrapped(note, note.face(), 8.0, _CODE_PT, 5)):
            flow.put(Letters(x, top - 14.0 - 11.0 * at, line, note.face(), 8.0, 0.25))
        return
    flow.put(Squares(x, top - _CODE_PT, _CODE_PT, bag.code))
    words = lettering(bag.address)
    for at, line in enumerate(wrapped(words, words.face(), 6.5, _CODE_PT, 8)):
        flow.put(Letters(x, top - _CODE_PT - 8.0 - 8.0 * at, line, words.face(), 6.5))
