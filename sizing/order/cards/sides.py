"""The two sides of a card, laid out: large letters, a thick number at each step, nothing parted."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Final

from sizing.order.cards.card import Card
from sizing.order.cloth.tiles import PAPERS_MM, Paper
from sizing.order.loft.ink import Box, Letters, Mark, Page, Rule
from sizing.order.loft.lettering import Face, lettering, one_line, width_pt, wrapped
from sizing.order.loft.page import PT_PER_MM
from sizing.seamanship.register import Sign, Stage, Step, register

READ_PT: Final = 14.0
"""Least size of all that is read at sea."""
LEGEND_PT: Final = (READ_PT, 13.0, 12.0, 11.0, 10.0, 9.0)
"""Sizes of what the signs mean, which is read ashore: the first that has room."""

TURN: Final = "Worked out {}; print it anew when her gear changes. Signs: see side 2."
NOT_WHOLE: Final = "Her name is not printed whole here; the entry number tells which boat it is."

_MARGIN_PT: Final = 10.0 * PT_PER_MM
_LEADING: Final = 1.1
_LINE: Final = READ_PT * _LEADING
_INDENT: Final = 22.0
_SIGN_ROOM: Final = 50.0
_GAP_MOST: Final = 5.0
_GAP_LEAST: Final = 0.25
"""Between steps, where the legend leaves it: what is read at sea comes first."""
_NAME_SIZES: Final = (24.0, 20.0, 17.0, READ_PT)
_TITLE_FOOT: Final = -0.8 * _NAME_SIZES[0]
_BETWEEN: Final = 12.0
_NO_BREAK: Final = "\u00a0"
_NUMBER: Final = "drogue card, side {} of 2"
_HEADS: Final[Mapping[Stage, str]] = {
    "decide": "SHOULD WE? In this order.",
    "ready": "GET READY",
    "launch": "LAUNCH",
    "lie": "LYING TO IT",
    "wrong": "IF IT GOES WRONG",
    "cut": "CUT AWAY: LAST RESORT",
    "recover": "GET IT BACK",
}
_FRONT: Final[tuple[Stage, ...]] = ("decide", "ready", "launch")
_BACK: Final[tuple[Stage, ...]] = ("lie", "wrong", "cut", "recover")


@dataclass(frozen=True)
class Block:
    """Something that is not parted: how high it is, and its marks, measured down from its own top."""

    height: float
    marks: tuple[Mark, ...]


def sides(card: Card, paper: Paper) -> list[Page]:
    """Return the front and the back of a card; SI figures are words already."""
    width, height = (side * PT_PER_MM for side in PAPERS_MM[paper])
    room = width - 2 * _MARGIN_PT
    front = [*_notices(card, room), *_stages(card, _FRONT[:1], room), *_numbers(card, room),
             *_stages(card, _FRONT[1:], room)]  # fmt: skip
    back = [*_stages(card, _BACK, room), _words(register().caution, room, READ_PT)]
    title, whole = _title(card, room)
    turned = TURN.format(card.as_of)
    turn = turned if whole else f"{NOT_WHOLE} {turned}"
    sources = frozenset(sign.source for step in _steps(card, (*_FRONT, *_BACK)) for sign in step.signs)
    legend = register().legend_of(sources, with_room=bool(card.numbers))
    return [
        _side([_with_number(title, 1, room), *front], turn, width, height),
        _side([_with_number(title, 2, room), *back], legend, width, height),
    ]


def _steps(card: Card, stages: Sequence[Stage]) -> list[Step]:
    return [step for step in card.told.steps("card") if step.stage in stages]


def _side(blocks: Sequence[Block], said: str, width: float, height: float) -> Page:
    """Put the blocks below each other, what is said last at the lower edge, what is free between them."""
    page = Page(width, height)
    left = height - 2 * _MARGIN_PT - sum(block.height for block in blocks)
    feet = [_words(said, width - 2 * _MARGIN_PT, size) for size in LEGEND_PT]
    room = left - _GAP_LEAST * len(blocks)
    foot = next((foot for foot in feet if foot.height <= room), feet[-1])
    gap = min((left - foot.height) / len(blocks), _GAP_MOST)
    y = height - _MARGIN_PT
    for block in blocks:
        page.marks += _placed(block, y)
        y -= block.height + gap
    page.marks += _placed(foot, min(y, _MARGIN_PT + foot.height))
    return page


def _placed(block: Block, top: float) -> list[Mark]:
    return [
        mark._replace(y=mark.y + top, to_y=mark.to_y + top) if isinstance(mark, Rule)
        else mark._replace(y=mark.y + top)
        for mark in block.marks
    ]  # fmt: skip


def _title(card: Card, room: float) -> tuple[Block, bool]:
    """Her entry number and her name, as large as they go, and whether both are printed whole.

    The number is a text of its own: a name from right to left does not change places with it.
    """
    entry, name = lettering(card.entry_no), lettering(card.boat_name)
    faces = entry.face(bold=True), name.face(bold=True)
    wide = room - width_pt(_NUMBER.format(1), "Helvetica", READ_PT) - 2 * _BETWEEN

    def fits(size: float) -> bool:
        return width_pt(entry.text, faces[0], size) + width_pt(name.text, faces[1], size) <= wide

    size = next(filter(fits, _NAME_SIZES), READ_PT)
    first = one_line(entry, faces[0], size, wide)
    marks = [Letters(_MARGIN_PT, _TITLE_FOOT, first, faces[0], size)]
    taken = width_pt(first, faces[0], size) + _BETWEEN
    if name.text and taken + size < wide:
        shown = one_line(name, faces[1], size, wide + _BETWEEN - taken)
        marks.append(Letters(_MARGIN_PT + taken, _TITLE_FOOT, shown, faces[1], size))
    return Block(_NAME_SIZES[0] * 1.15, tuple(marks)), fits(size) and not (entry.lost or name.lost)


def _with_number(title: Block, number: int, room: float) -> Block:
    """The title with the number of its side, at the right edge."""
    side = _NUMBER.format(number)
    x = _MARGIN_PT + room - width_pt(side, "Helvetica", READ_PT)
    return replace(title, marks=(*title.marks, Letters(x, _TITLE_FOOT, side, "Helvetica", READ_PT)))


def _notices(card: Card, room: float) -> list[Block]:
    """Which rig the card is for, in a frame; and what the source does not cover of her."""
    whose = card.told.whose
    inner = _words(f"{whose.first.upper()} {whose.then}".rstrip(), room - 10.0, READ_PT, bold=True, left=5.0)
    frame = Box(_MARGIN_PT, -inner.height - 4.0, room, inner.height + 4.0)
    return [
        Block(inner.height + 5.0, (frame, *_placed(inner, -1.5))),
        *(_words(said, room, READ_PT, bold=True) for said in card.told.outside),
    ]


def _stages(card: Card, stages: Sequence[Stage], room: float) -> list[Block]:
    blocks: list[Block] = []
    unparted = {name: figure.replace(" ", _NO_BREAK) for name, figure in card.told.figures.items()}
    for stage in stages:
        for at, step in enumerate(_steps(card, (stage,)), 1):
            key, text = step.key.format_map(unparted), step.say.format_map(unparted)
            number = str(at) if stage != "wrong" else "•"
            block = _step(number, key, text, _signs(step.signs), room)
            blocks.append(_under(_heading(_head(card, stage), room), block) if at == 1 else block)
    return blocks


def _signs(signs: Sequence[Sign]) -> str:
    """The signs of a step, each source by its letters alone."""
    return " ".join(dict.fromkeys(sign.source for sign in signs))


def _head(card: Card, stage: Stage) -> str:
    """The heading of a stage; that of the launch says so where the rig is not aboard."""
    when = card.told.launch_when if stage == "launch" else ""
    return f"{_HEADS[stage]}, {when}" if when else _HEADS[stage]


def _under(head: Block, block: Block) -> Block:
    """A heading with its first step: it never stands alone."""
    return Block(head.height + block.height, (*head.marks, *_placed(block, -head.height)))


@lru_cache(maxsize=64)
def _heading(words: str, room: float) -> Block:
    size, down = 15.0, 2.0
    return Block(
        size * 1.2 + down + 2.0,
        (
            Letters(_MARGIN_PT, -down - size * 0.95, words, "Helvetica-Bold", size),
            Rule(_MARGIN_PT, -down - size * 1.2, _MARGIN_PT + room, -down - size * 1.2, 1.5),
        ),
    )


@lru_cache(maxsize=4096)
def _step(number: str, key: str, text: str, sign: str, room: float) -> Block:
    """One step: its number, its bold words, the rest, and its sign at the right edge."""
    words = [*((word, True) for word in key.split(" ")), *((word, False) for word in text.split(" "))]
    lines = _broken(words, room - _INDENT - _SIGN_ROOM)
    marks: list[Mark] = [Letters(_MARGIN_PT, -0.82 * _LINE, number, "Helvetica-Bold", READ_PT)]
    for at, line in enumerate(lines):
        marks += _runs(line, _MARGIN_PT + _INDENT, -(at + 0.82) * _LINE)
    edge = _MARGIN_PT + room - width_pt(sign, "Helvetica", READ_PT)
    marks.append(Letters(edge, -(len(lines) - 1 + 0.82) * _LINE, sign, "Helvetica", READ_PT))
    return Block(len(lines) * _LINE, tuple(marks))


_Word = tuple[str, bool]


def _face(*, bold: bool) -> Face:
    return "Helvetica-Bold" if bold else "Helvetica"


def _broken(words: Sequence[_Word], room: float) -> list[list[_Word]]:
    """Words in lines that fit, each word in its own face."""
    lines: list[list[_Word]] = [[]]
    used = 0.0
    for word, bold in words:
        wide = width_pt(word, _face(bold=bold), READ_PT)
        space = width_pt(" ", "Helvetica", READ_PT) if lines[-1] else 0.0
        if lines[-1] and used + space + wide > room:
            lines.append([])
            used = space = 0.0
        lines[-1].append((word, bold))
        used += space + wide
    return lines


def _runs(line: Sequence[_Word], x: float, y: float) -> list[Mark]:
    """One line as its bold words and its others, each as one text."""
    marks: list[Mark] = []
    for bold in (True, False):
        text = " ".join(word for word, is_bold in line if is_bold == bold).replace(_NO_BREAK, " ")
        if text:
            marks.append(Letters(x, y, text, _face(bold=bold), READ_PT))
            x += width_pt(f"{text} ", _face(bold=bold), READ_PT)
    return marks


@lru_cache(maxsize=256)
def _words(text: str, room: float, size: float, *, bold: bool = False, left: float = 0.0) -> Block:
    words = lettering(text)
    face = words.face(bold=bold)
    lines = wrapped(words, face, size, room, 40)
    step = size * _LEADING
    marks = [
        Letters(_MARGIN_PT + left, -(at + 0.82) * step, line, face, size) for at, line in enumerate(lines)
    ]
    return Block(len(lines) * step, tuple(marks))


def _numbers(card: Card, room: float) -> list[Block]:
    """Her figures, with a line beside each on which what was measured aboard is written by hand."""
    if not card.numbers:
        return []
    write = _MARGIN_PT + 0.72 * room
    blocks = []
    for row in card.numbers:
        marks: tuple[Mark, ...] = (
            Letters(_MARGIN_PT, -0.82 * _LINE, row.name, "Helvetica", READ_PT),
            Letters(_MARGIN_PT + 0.37 * room, -0.82 * _LINE, row.worked_out, "Helvetica-Bold", READ_PT),
            Rule(write, -0.92 * _LINE, _MARGIN_PT + room, -0.92 * _LINE, 0.7),
        )
        blocks.append(Block(_LINE, marks))
    head = _heading("HER RIG, as worked out", room)
    aboard = Letters(write, head.marks[0].y, "as measured aboard", "Helvetica", READ_PT)
    head = replace(head, marks=(*head.marks, aboard))
    return [_under(head, blocks[0]), *blocks[1:]]
