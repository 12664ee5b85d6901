"""Any text as letters that can be printed: which font shows it, how wide it is, where its lines break.

Helvetica, which every PDF reader has, shows western European text. Of any other text each letter is shown by
the first of the fonts beside this module that has it; they are embedded, and the last is a plain one of all
scripts. A character that none shows becomes "?", and the text says so. Text is never markup here: nothing
reads it but this module.
"""

from __future__ import annotations

import gzip
import io
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from importlib import resources
from itertools import groupby
from typing import Final, Literal

import arabic_reshaper  # type: ignore[import-untyped]
from bidi import get_display  # type: ignore[import-untyped]
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

Face = Literal["Helvetica", "Helvetica-Bold", "DejaVuSans"]
"""What a line is set in; "DejaVuSans" stands for all fonts beside this module."""

_FONTS: Final = {
    "DejaVuSans": "DejaVuSans.ttf", "NotoEmoji": "NotoEmoji.ttf", "UnifontEX": "UnifontEX.ttf.gz",
}  # fmt: skip
"""Fonts beside this module, in the order in which they are asked for a letter."""

CUT: Final = "…"
_JOINERS: Final = "\u200c\u200d"
_LOOKS: Final = frozenset(map(chr, range(0xFE00, 0xFE10)))
_RIGHT_TO_LEFT: Final = frozenset({"R", "AL"})
_NEVER_SHOWN: Final = frozenset({"Cc", "Cs", "Cn", "Co"})


@dataclass(frozen=True)
class Lettering:
    """Text as it can be printed, in reading order; `lost` where something of it cannot be shown."""

    text: str
    wide: bool
    lost: bool

    def face(self, *, bold: bool = False) -> Face:
        """Return the font that shows it; the wide ones have no bold."""
        if self.wide:
            return "DejaVuSans"
        return "Helvetica-Bold" if bold else "Helvetica"


@lru_cache(maxsize=4096)
def lettering(text: str) -> Lettering:
    """Return text as it can be printed: composed, on one line, direction marks left out.

    What only chooses between two looks of the letter before it (a variation selector) is left out too.

    >>> lettering("Grey\\tPlover"), lettering("\\u6d77\\ufe0f!").text == "\\u6d77!"
    (Lettering(text='Grey Plover', wide=False, lost=False), True)
    """
    line = " ".join(text.split())
    if line.isascii() and line.isprintable():
        return Lettering(line, wide=False, lost=False)
    shown, lost, wide = [], False, False
    for char in unicodedata.normalize("NFC", line):
        if _western(char):
            shown.append(char)
        elif char in _LOOKS:
            continue
        elif unicodedata.category(char) == "Cf" and char not in _JOINERS:
            lost = True
        elif unicodedata.category(char) not in _NEVER_SHOWN and _font_of(char):
            shown.append(char)
            wide = True
        else:
            shown.append("?")
            lost = True
    return Lettering("".join(shown), wide, lost)


@lru_cache(maxsize=4096)
def _western(char: str) -> bool:
    """Whether Helvetica shows a character: those of the PDF's own western encoding."""
    return unicodedata.category(char) not in {"Cc", "Cf"} and bool(char.encode("cp1252", "ignore"))


@cache
def _wide_font(name: str) -> TTFont:
    """One of the fonts beside this module, made known to the PDF library when it is first needed."""
    content = resources.files("sizing.order.loft").joinpath("fonts", _FONTS[name]).read_bytes()
    font = TTFont(name, io.BytesIO(gzip.decompress(content) if _FONTS[name].endswith(".gz") else content))
    pdfmetrics.registerFont(font)
    return font


@lru_cache(maxsize=4096)
def _font_of(char: str) -> str:
    """The first of the fonts beside this module that has a letter; "" where none has."""
    return next((name for name in _FONTS if ord(char) in _wide_font(name).face.charToGlyph), "")


def runs(printed: str) -> list[tuple[str, str]]:
    """Return a line as it stands on paper in runs of one font each, in order: (font, letters).

    >>> [font for font, _ in runs("Čmelák \\u6d77\\u71d5")]
    ['DejaVuSans', 'UnifontEX']
    """
    fonts = [(_font_of(char) or "DejaVuSans", char) for char in printed]
    return [(font, "".join(char for _, char in run)) for font, run in groupby(fonts, lambda one: one[0])]


class _Widths(dict[str, float]):
    """Width of each character of a font at 1000 pt, looked up when it is first asked for."""

    def __init__(self, face: Face) -> None:
        super().__init__()
        self._face = face

    def __missing__(self, char: str) -> float:
        font = (_font_of(char) or self._face) if self._face == "DejaVuSans" else self._face
        width = self[char] = float(pdfmetrics.stringWidth(char, font, 1000.0))
        return width


@cache
def _widths(face: Face) -> _Widths:
    return _Widths(face)


def width_pt(line: str, face: Face, size_pt: float) -> float:
    """Return the width of one line as printed; pt."""
    return _width_at_1000_pt(line, face) * size_pt / 1000.0


@lru_cache(maxsize=1 << 15)
def _width_at_1000_pt(line: str, face: Face) -> float:
    return sum(map(_widths(face).__getitem__, as_printed(line) if face == "DejaVuSans" else line))


def as_printed(line: str) -> str:
    """Return a line's letters from left to right as they stand on paper, Arabic ones joined.

    >>> as_printed("\\u05d0\\u05d1 1") == "1 \\u05d1\\u05d0"
    True
    """
    if not any(unicodedata.bidirectional(char) in _RIGHT_TO_LEFT for char in line):
        return line
    joined = str(arabic_reshaper.reshape(line))
    known = _wide_font("DejaVuSans").face.charToGlyph
    if any(ord(char) not in known for char in joined if unicodedata.bidirectional(char) in _RIGHT_TO_LEFT):
        joined = line
    return str(get_display(joined))


@lru_cache(maxsize=8192)
def wrapped(text: Lettering, face: Face, size_pt: float, room_pt: float, most: int) -> tuple[str, ...]:
    """Return the lines of a text, none wider than its room; past `most` lines it ends with an ellipsis.

    Lines break at spaces, and inside a word only where the word alone is too wide. pt.
    """
    if not text.wide and width_pt(text.text, face, size_pt) <= room_pt:
        return (text.text,)
    lines: list[str] = []
    line = ""
    for word in text.text.split(" "):
        tried = f"{line} {word}" if line else word
        if width_pt(tried, face, size_pt) <= room_pt:
            line = tried
            continue
        if line:
            lines.append(line)
        *full, line = _pieces(word, face, size_pt, room_pt)
        lines += full
    lines.append(line)
    if len(lines) > most:
        lines = [*lines[: most - 1], _cut(lines[most - 1], face, size_pt, room_pt)]
    return tuple(lines)


def _pieces(word: str, face: Face, size_pt: float, room_pt: float) -> list[str]:
    """A word in pieces that fit; one letter at least in each."""
    pieces, piece = [], ""
    for char in word:
        if piece and width_pt(piece + char, face, size_pt) > room_pt:
            pieces.append(piece)
            piece = char
        else:
            piece += char
    return [*pieces, piece]


def _cut(line: str, face: Face, size_pt: float, room_pt: float) -> str:
    fits, too_long = 0, len(line) + 1
    while too_long - fits > 1:
        middle = (fits + too_long) // 2
        if width_pt(line[:middle] + CUT, face, size_pt) <= room_pt:
            fits = middle
        else:
            too_long = middle
    return line[:fits].rstrip() + CUT


def one_line(text: Lettering, face: Face, size_pt: float, room_pt: float) -> str:
    """Return as much of a text as one line holds, with an ellipsis where something is cut. pt."""
    if width_pt(text.text, face, size_pt) <= room_pt:
        return text.text
    return _cut(text.text, face, size_pt, room_pt)


def largest(
    text: Lettering, room_pt: float, sizes: Sequence[tuple[float, int]], *, bold: bool = False
) -> tuple[float, tuple[str, ...]]:
    """Return the first of the sizes at which a text takes no more than its lines, and those lines.

    `sizes` are (pt, most lines), from the largest; at the last one what is too long is cut.
    """
    face = text.face(bold=bold)
    for size, most in sizes[:-1]:
        lines = wrapped(text, face, size, room_pt, most + 1)
        words = {word for line in lines for word in line.split(" ")}
        if len(lines) <= most and words <= set(text.text.split(" ")):
            return size, lines
    size, most = sizes[-1]
    return size, wrapped(text, face, size, room_pt, most)
