"""The classes by which drawings take their colours; `drawings.css` of the theme gives each its colour.

Hues are a darker and a lighter cut of blue, orange-brown and bluish green, which people with any of the
common forms of colour blindness tell apart [practice]; a test measures it. Nothing depends on hue alone:
every line also has its own dash, every area its own hatch, and both have words.
"""

from __future__ import annotations

from typing import Literal, TypeAlias

Role: TypeAlias = Literal["ink", "muted", "rule", "paper", "sea", "wash", "a", "b", "c"]
"""What a colour stands for; the style sheet says it of each at its head."""


def stroke(role: Role) -> str:
    """Return the class of a line's colour."""
    return f"s-{role}"


def fill(role: Role) -> str:
    """Return the class of an area's colour."""
    return f"f-{role}"
