"""Pages, drawings and style sheets, read by parsers that tell every error."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

import html5lib
import tinycss2  # type: ignore[import-untyped]

SVG = "{http://www.w3.org/2000/svg}"
_DRAWING = re.compile(r"<svg\b.*?</svg>", re.DOTALL)


@dataclass(frozen=True)
class Reading:
    """One page: its text, and what the parser of WHATWG HTML made of it."""

    address: str
    text: str

    @cached_property
    def _parsed(self) -> tuple[ET.Element, list[str]]:
        parser = html5lib.HTMLParser(tree=html5lib.getTreeBuilder("etree"), namespaceHTMLElements=False)
        root = parser.parse(self.text)
        errors = [f"line {at[0]}: {code} {told}" for at, code, told in parser.errors]
        return root, errors

    @property
    def root(self) -> ET.Element:
        """The element `html`."""
        return self._parsed[0]

    @property
    def parse_errors(self) -> list[str]:
        """What the parser had to mend."""
        return self._parsed[1]

    def broken_drawings(self) -> list[str]:
        """Drawings in the page that are no well-formed XML."""
        wrong = []
        for drawing in _DRAWING.findall(self.text):
            try:
                ET.fromstring(drawing)  # noqa: S314  own output; a declaration would be an error here
            except ET.ParseError as error:
                wrong.append(f"{error}: {drawing[:80]}")
        return wrong


def text_in(element: ET.Element) -> str:
    """All words inside an element."""
    return " ".join("".join(element.itertext()).split())


def css_errors(css: str) -> list[str]:
    """What a parser of CSS Syntax Level 3 cannot take, declarations inside rules included."""
    found: list[str] = []
    _gather(tinycss2.parse_stylesheet(css, skip_comments=True, skip_whitespace=True), found)
    return found


def _gather(nodes: Iterable[object], found: list[str]) -> None:
    for node in nodes:
        kind = getattr(node, "type", "")
        if kind == "error":
            line = getattr(node, "source_line", 0)
            found.append(f"line {line}: {getattr(node, 'message', '')}")
        _gather(getattr(node, "prelude", None) or (), found)
        content = getattr(node, "content", None)
        if kind in {"qualified-rule", "at-rule"} and content is not None:
            rules = kind == "at-rule" and getattr(node, "lower_at_keyword", "") in {"media", "supports"}
            inside = (
                tinycss2.parse_rule_list(content, skip_comments=True, skip_whitespace=True)
                if rules
                else tinycss2.parse_blocks_contents(content, skip_comments=True, skip_whitespace=True)
            )
            _gather(inside, found)
