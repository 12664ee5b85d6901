"""Text of people made fit to be shown: control signs become visible, nothing else changes."""

from __future__ import annotations

import re
from typing import Final

_CONTROL: Final = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ud800-\udfff\ufffe\uffff]")
_DIRECTION: Final = re.compile("[\u200e\u200f\u202a-\u202e\u2066-\u2069]")


def visible(text: str) -> str:
    """Return `text` with control characters and broken code units shown as U+FFFD.

    >>> visible("Plover\\x07")
    'Plover\ufffd'
    """
    return _CONTROL.sub("\N{REPLACEMENT CHARACTER}", text)


def one_line(text: str, longest: int = 90) -> str:
    """Return `text` for a window title: one line, no direction marks, not too long.

    >>> one_line("Grey\\nPlover")
    'Grey Plover'
    """
    line = " ".join(_DIRECTION.sub("", visible(text)).split())
    return line if len(line) <= longest else line[: longest - 1] + "…"
