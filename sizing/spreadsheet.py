"""Text that stays text when a spreadsheet opens it.

A cell that begins with = + - @, a tab or a carriage return can be taken as a formula. Such text gets one
apostrophe in front, which `from_text` takes away again, so that a table can be mended and read back. Numbers
do not pass through here: they are written as numbers.
"""

from __future__ import annotations

import re
from typing import Final

_FORMULA: Final = re.compile(r"[ \xa0]*[=+\-@\t\r\n＝＋－＠]")
_LIVE: Final = re.compile(r"[ \xa0']*[=+\-@\t\r\n＝＋－＠]")
_CONTROL: Final = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\ud800-\udfff]")


def could_be_formula(text: str) -> bool:
    """Whether a spreadsheet could take the text for a formula."""
    return bool(_FORMULA.match(text))


def as_text(text: str) -> str:
    """Make a cell of text safe for CSV: no control characters, nothing a spreadsheet would run.

    >>> as_text("=1+1"), as_text("Grey Plover")
    ("'=1+1", 'Grey Plover')
    """
    clean = _CONTROL.sub("", text)
    if _LIVE.match(clean):
        return "'" + clean
    return clean


def from_text(text: str) -> str:
    """Undo `as_text` for a cell that was written by it.

    >>> from_text("'=1+1")
    '=1+1'
    """
    if text.startswith("'") and _LIVE.match(text, 1):
        return text[1:]
    return text
