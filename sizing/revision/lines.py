"""Plain text of fixed width: hostile cells made harmless, long lines folded by columns of the screen."""

from __future__ import annotations

import re
import unicodedata
from typing import Final

from sizing.spreadsheet import plain_text

WIDTH: Final = 76
_DIRECTION: Final = re.compile("[\u061c\u200b-\u200f\u2028-\u202e\u2060-\u206f\ufeff]")
_WIDE: Final = frozenset({"W", "F"})


def one_line(text: str) -> str:
    """Return people's text as one line: no control characters, no marks that reverse or hide writing.

    >>> one_line("Grey\\nPlover\\u202e ")
    'Grey Plover'
    """
    return " ".join(_DIRECTION.sub("", plain_text(text)).split())


def columns(text: str) -> int:
    """Return how many columns of a screen a text takes; East Asian wide signs take two [UAX 11].

    >>> columns("A3"), columns("海鳥")
    (2, 4)
    """
    if text.isascii():
        return len(text)
    return sum(_column(sign) for sign in text)


def _column(sign: str) -> int:
    if unicodedata.combining(sign):
        return 0
    return 2 if unicodedata.east_asian_width(sign) in _WIDE else 1


def folded(
    text: str, *, first: str = "", rest: str = "", width: int = WIDTH, keep: bool = False
) -> list[str]:
    """Return one paragraph folded to `width` columns; the first line begins with `first`, others with `rest`.

    A word longer than a line is broken, unless `keep` says that it must stay whole (an address).

    >>> folded("one two three", first="- ", rest="  ", width=9)
    ['- one two', '  three']
    """
    lines: list[str] = []
    line, room, empty = first, width - columns(first), True
    for word in one_line(text).split(" "):
        needed = columns(word) + (0 if empty else 1)
        if needed <= room:
            line, room, empty = line + ("" if empty else " ") + word, room - needed, False
            continue
        if not empty:
            lines.append(line)
            line, room = rest, width - columns(rest)
        *whole, tail = [word] if keep else _broken(word, room)
        for piece in whole:
            lines.append(line + piece)
            line, room = rest, width - columns(rest)
        line, room, empty = line + tail, room - columns(tail), False
    return [*lines, line.rstrip()] if line.strip() or not lines else lines


def _broken(word: str, room: int) -> list[str]:
    """Pieces of a word that each fit into a line."""
    pieces, piece, left = [], "", room
    for sign in word:
        needed = _column(sign)
        if needed > left and piece:
            pieces.append(piece)
            piece, left = "", room
        piece, left = piece + sign, left - needed
    return [*pieces, piece]
