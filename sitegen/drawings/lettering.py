"""Text in drawings: figures in both unit systems, estimated widths, and labels moved apart."""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence
from functools import lru_cache
from typing import Final, TypeAlias

from sitegen.drawings.element import Element, clean, element
from sizing.units import Shown

Part: TypeAlias = str | Shown
Words: TypeAlias = str | Shown | Sequence[Part]

# Widths in em of a common sans-serif face, on the generous side [assumed].
BOLD: Final = 1.07
_WIDTHS: Final = (
    (frozenset("ijl.,:;'|!·’ ()[]"), 0.32),
    (frozenset('frtI-"/“”½*'), 0.42),
    (frozenset("mwMW%@–—…"), 0.95),
)


def parts_of(words: Words) -> tuple[Part, ...]:
    """Return `words` as a tuple of its pieces."""
    return (words,) if isinstance(words, str | Shown) else tuple(words)


def text_width(text: str, size: float) -> float:
    """Return the estimated width of `text` at font size `size`, in the same unit [assumed].

    >>> text_width("lead line", 10.0) < text_width("LEAD LINE", 10.0)
    True
    """
    return size * _width_in_em(text)


@lru_cache(maxsize=1 << 13)
def _width_in_em(text: str) -> float:
    return sum(map(_character_width, text))


@lru_cache(maxsize=4096)
def _character_width(character: str) -> float:
    for characters, width in _WIDTHS:
        if character in characters:
            return width
    if character.isdigit() or character.islower():
        return 0.6
    if unicodedata.combining(character) or unicodedata.category(character) == "Cf":
        return 0.0
    wide = ord(character) > 0x2E80 or unicodedata.east_asian_width(character) in "WF"
    return 1.25 if wide else 0.74


def words_width(words: Words, size: float) -> float:
    """Return the estimated width of `words` in the wider of the two unit systems."""
    return max(text_width(plain(words, us), size) for us in (False, True))


def plain(words: Words, us: bool = False) -> str:
    """Return `words` as plain text in one unit system."""
    shown = (p if isinstance(p, str) else (p.us if us else p.metric) for p in parts_of(words))
    return "".join(shown)


def content_of(words: Words) -> list[Element | str]:
    """Return what goes inside a text element; figures that differ between the systems come as a pair.

    The second of a pair begins with a space: a reader without the style sheet sees both, apart.
    """
    content: list[Element | str] = []
    for part in parts_of(words):
        if isinstance(part, str):
            content.append(part)
        elif part.metric == part.us:
            content.append(part.metric)
        else:
            content.append(element("tspan", part.metric, class_="u-metric"))
            content.append(element("tspan", " " + part.us, class_="u-us"))
    return content


def fitted(text: str, size: float, width: float) -> str:
    """Return `text` cut to `width` with an ellipsis; for text of unknown length such as a boat's name."""
    text = " ".join(clean(text).split())
    if text_width(text, size) <= width:
        return text
    kept = ""
    room = width - text_width("…", size)
    for character in text:
        room -= text_width(character, size)
        if room < 0.0:
            break
        kept += character
    return kept.rstrip() + "…"


def wrapped(text: str, size: float, width: float) -> list[str]:
    """Return `text` broken at its spaces into lines no wider than `width`; a longer word is cut."""
    lines: list[str] = []
    for word in text.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and text_width(longer, size) <= width:
            lines[-1] = longer
        else:
            lines.append(fitted(word, size, width))
    return lines


def spread(wanted: Sequence[float], sizes: Sequence[float], low: float, high: float) -> list[float]:
    """Return centres near `wanted` (ascending): intervals of `sizes` neither overlap nor leave [low, high].

    Raises ValueError if they cannot fit.

    >>> spread([1.0, 1.0], [2.0, 2.0], 0.0, 10.0)
    [1.0, 3.0]
    """
    if sum(sizes) > high - low + 1e-6:
        raise ValueError(f"labels of {sum(sizes):.0f} units do not fit in {high - low:.0f}")
    centres: list[float] = []
    edge = low
    for centre, size in zip(wanted, sizes, strict=True):
        centres.append(max(centre, edge + size / 2.0))
        edge = centres[-1] + size / 2.0
    edge = high
    for i in range(len(centres) - 1, -1, -1):
        centres[i] = min(centres[i], edge - sizes[i] / 2.0)
        edge = centres[i] - sizes[i] / 2.0
    return centres
