"""A drawing as part of a page that has palette.css: what the style sheet says again is left out."""

from __future__ import annotations

import re
from typing import Final

from sitegen.drawings.palette import LIGHT

_COLOURS: Final = "|".join(sorted(set(LIGHT.values())))
_SAID_AGAIN: Final = re.compile(
    rf' (?:(?:stroke|fill)="(?:{_COLOURS})"|xmlns="[^"]*"|stroke-linejoin="round"|stroke-linecap="round"'
    r'|width="100%"|font-family="[^"]*"|focusable="false"|data-part="[^"]*"|fill="none"(?=[^>]* class="s-))'
)
_PATH: Final = re.compile(r'(?<= d=")[^"]*')
_NOUGHT: Final = re.compile(r"(?<![0-9.])0\.")


def in_page(svg: str) -> str:
    """Return a drawing without what palette.css says, and without the names of parts.

    Only markup is changed: in the words of a drawing quotation marks are escaped, so none of these can stand
    there.

    >>> in_page('<path d="M0 0H9" stroke-linecap="round" stroke="#16242f" class="s-ink"/>')
    '<path d="M0 0H9" class="s-ink"/>'
    >>> in_page('<path d="M0.5 -0.25L10.5 0.5"/>')
    '<path d="M.5-.25L10.5 .5"/>'
    """
    slim = _SAID_AGAIN.sub("", svg).replace('="0.', '=".')
    return _PATH.sub(_compact, slim)


def _compact(path: re.Match[str]) -> str:
    """Leave out of path data what separates nothing: blanks before a sign, noughts before a point."""
    return _NOUGHT.sub(".", path[0].replace(" -", "-"))
