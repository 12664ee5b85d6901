"""The colours of the drawings, and the style sheet that binds them to the site's theme.

Hues are a darker and a lighter cut of blue, orange-brown and bluish green, which people with any of the
common forms of colour blindness tell apart [practice]; a test measures it. Nothing depends on hue alone:
every line also has its own dash, every area its own hatch, and both have words.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final, Literal, TypeAlias

Role: TypeAlias = Literal["ink", "muted", "rule", "paper", "sea", "wash", "a", "b", "c"]

ROLE_WORDS: Final[Mapping[Role, str]] = MappingProxyType(
    {
        "ink": "text and main outlines",
        "muted": "secondary text, dimension lines",
        "rule": "grid lines, decoration only",
        "paper": "the page behind the drawing",
        "sea": "water and other quiet areas",
        "wash": "cloth, hulls and bars at rest",
        "a": "first data colour: what is needed, the gear itself",
        "b": "second data colour: limits, loads, what is short",
        "c": "third data colour: what holds, strengths",
    }
)
LIGHT: Final[Mapping[Role, str]] = MappingProxyType(
    {
        "ink": "#16242f",
        "muted": "#50606c",
        "rule": "#d3dbe1",
        "paper": "#ffffff",
        "sea": "#e6f0f5",
        "wash": "#eef1f3",
        "a": "#0a5f99",
        "b": "#b34a00",
        "c": "#1a8a6b",
    }
)
DARK: Final[Mapping[Role, str]] = MappingProxyType(
    {
        "ink": "#e7edf1",
        "muted": "#a9b6c0",
        "rule": "#3b4652",
        "paper": "#1d2128",
        "sea": "#22323f",
        "wash": "#2a313a",
        "a": "#5fa8e8",
        "b": "#f59a4c",
        "c": "#86dfae",
    }
)
PRINT: Final[Mapping[Role, str]] = MappingProxyType(
    dict(LIGHT)
    | {"ink": "#000000", "muted": "#333333", "rule": "#bbbbbb", "sea": "#f2f2f2", "wash": "#f5f5f5"}
)

_FIXED: Final = """\
.drawing { display: block; width: 100%; height: auto; margin: 0 auto; overflow: hidden; color: var(--dw-ink);
  fill: var(--dw-ink); font-family: inherit; }
.drawing.sketch { max-width: 460px; }
.drawing.narrow { display: none; }
.drawing .halo { stroke: var(--dw-paper); stroke-linejoin: round; }
.drawing path { stroke-linejoin: round; stroke-linecap: round; }
.drawing [class^="s-"]:not([fill]) { fill: none; }
@media screen and (max-width: 640px) {
  .drawing.wide { display: none; }
  .drawing.narrow { display: block; }
}
.drawing .u-us { display: none; }
[data-units="us"] .drawing .u-us { display: inline; }
[data-units="us"] .drawing .u-metric { display: none; }
@media print {
  .drawing { break-inside: avoid; }
  .drawing.narrow { display: none; }
}
"""


def stylesheet() -> str:
    """Return the whole of palette.css: custom properties for light, dark and print, and the classes."""

    def block(selector: str, palette: Mapping[Role, str], indent: str = "") -> str:
        lines = "".join(f"{indent}  --dw-{role}: {colour};\n" for role, colour in palette.items())
        return f"{indent}{selector} {{\n{lines}{indent}}}\n"

    roles = "".join(f"   --dw-{role}: {words}\n" for role, words in ROLE_WORDS.items())
    classes = "".join(
        f".drawing .s-{role} {{ stroke: var(--dw-{role}); }}\n"
        f".drawing .f-{role} {{ fill: var(--dw-{role}); }}\n"
        for role in LIGHT
    )
    dark_selector = '[data-md-color-scheme="slate"]'
    return (
        "/* Colours and classes of the drawings; written by sitegen.drawings.palette.stylesheet().\n"
        f"{roles}"
        "   .wide and .narrow: two layouts of one drawing; .sketch: one layout for all widths.\n"
        '   .u-metric and .u-us: the two unit systems; data-units="us" on an element around them shows the\n'
        "   second, anything else the first. */\n"
        + block(":root", LIGHT)
        + "@media (prefers-color-scheme: dark) {\n"
        + block(":root:not(:has([data-md-color-scheme]))", DARK, "  ")
        + "}\n"
        + block(dark_selector, DARK)
        + _FIXED
        + classes
        + "@media print {\n"
        + block(f":root, {dark_selector}", PRINT, "  ")
        + "}\n"
    )


def stroke(role: Role) -> dict[str, str]:
    """Return the class of a line's colour, and the light colour for readers without the style sheet."""
    return {"class_": f"s-{role}", "stroke": LIGHT[role]}


def fill(role: Role) -> dict[str, str]:
    """Return the class of an area's colour, and the light colour for readers without the style sheet."""
    return {"class_": f"f-{role}", "fill": LIGHT[role]}
