"""Colours by formula: contrast (WCAG 2.2) and distance under simulated colour blindness."""

from __future__ import annotations

import re
from collections.abc import Mapping
from importlib.resources import files
from itertools import combinations
from typing import get_args

import pytest

from sitegen.drawings.palette import Role

SHEET = (files("sitegen") / "theme" / "assets" / "muster" / "drawings.css").read_text(encoding="utf-8")
ROLES: tuple[Role, ...] = get_args(Role)


def palettes() -> list[Mapping[str, str]]:
    """The colours by role of every block of the style sheet that sets them: light, dark twice, print."""
    blocks = re.findall(r"\{\s*((?:--dw-[^;]*;\s*)+)\}", SHEET)
    return [dict(re.findall(r"--dw-(\w+): (#[0-9a-f]{6});", block)) for block in blocks]


PALETTES: dict[str, Mapping[str, str]] = dict(
    zip(("light", "dark asked for", "dark", "print"), palettes(), strict=True)
)
TEXT: tuple[Role, ...] = ("ink", "muted")
DATA: tuple[Role, ...] = ("a", "b", "c")
# Machado, Oliveira, Fernandes 2009, severity 1.0 [memory].
BLINDNESS = {
    "none": ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)),
    "protan": (
        (0.152286, 1.052583, -0.204868),
        (0.114503, 0.786281, 0.099216),
        (-0.003882, -0.048116, 1.051998),
    ),
    "deutan": (
        (0.367322, 0.860646, -0.227968),
        (0.280085, 0.672501, 0.047413),
        (-0.011820, 0.042940, 0.968881),
    ),
    "tritan": (
        (1.255528, -0.076749, -0.178779),
        (-0.078411, 0.930809, 0.147602),
        (0.004733, 0.691367, 0.303900),
    ),
}


def linear(colour: str) -> tuple[float, float, float]:
    """Return linear red, green, blue of #rrggbb (WCAG 2.2, relative luminance)."""
    channels = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    r, g, b = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels)
    return r, g, b


def contrast(one: str, other: str) -> float:
    """Return the contrast ratio of two colours (WCAG 2.2): (L1 + 0.05) / (L2 + 0.05)."""
    light, dark = sorted(
        (0.2126 * r + 0.7152 * g + 0.0722 * b for r, g, b in (linear(one), linear(other))), reverse=True
    )
    return (light + 0.05) / (dark + 0.05)


def lab(colour: str, blindness: str) -> tuple[float, float, float]:
    """Return CIE L*a*b* (D65) of a colour as somebody with `blindness` sees it."""
    rgb = linear(colour)
    r, g, b = (
        min(max(sum(m * c for m, c in zip(row, rgb, strict=True)), 0.0), 1.0) for row in BLINDNESS[blindness]
    )
    x = (0.4124 * r + 0.3576 * g + 0.1805 * b) / 0.9505
    y = 0.2126 * r + 0.7152 * g + 0.0722 * b
    z = (0.0193 * r + 0.1192 * g + 0.9505 * b) / 1.089
    fx, fy, fz = (t ** (1 / 3) if t > 0.008856 else 7.787 * t + 16 / 116 for t in (x, y, z))
    return 116 * fy - 16, 500 * (fx - fy), 200 * (fy - fz)


def test_contrast_formula_at_its_ends() -> None:
    """WCAG: black on white is 21, a colour on itself is 1."""
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)
    assert contrast("#0a5f99", "#0a5f99") == pytest.approx(1.0)


@pytest.mark.parametrize("palette", PALETTES)
@pytest.mark.parametrize("behind", ["paper", "sea", "wash"])
@pytest.mark.parametrize("role", TEXT)
def test_text_has_4_5_to_1(role: Role, behind: Role, palette: str) -> None:
    """WCAG 2.2, 1.4.3 Contrast (Minimum)."""
    colours = PALETTES[palette]
    assert contrast(colours[role], colours[behind]) >= 4.5


@pytest.mark.parametrize("palette", PALETTES)
@pytest.mark.parametrize("behind", ["paper", "sea", "wash"])
@pytest.mark.parametrize("role", DATA)
def test_graphics_have_3_to_1(role: Role, behind: Role, palette: str) -> None:
    """WCAG 2.2, 1.4.11 Non-text Contrast."""
    colours = PALETTES[palette]
    assert contrast(colours[role], colours[behind]) >= 3.0


@pytest.mark.parametrize("palette", PALETTES)
@pytest.mark.parametrize("blindness", BLINDNESS)
def test_data_colours_stay_apart(blindness: str, palette: str) -> None:
    """A CIE76 distance of 15 is easily seen side by side [practice]; dashes and hatches come on top."""
    for one, other in combinations(DATA, 2):
        a, b = (lab(PALETTES[palette][r], blindness) for r in (one, other))
        assert sum((p - q) ** 2 for p, q in zip(a, b, strict=True)) ** 0.5 >= 15.0, (one, other)


def test_the_style_sheet_gives_every_role_a_colour_for_light_dark_and_print() -> None:
    assert {name: set(colours) for name, colours in PALETTES.items()} == {
        name: set(ROLES) for name in PALETTES
    }
    assert PALETTES["dark asked for"] == PALETTES["dark"] != PALETTES["light"]
    for role in ROLES:
        assert f"--dw-{role}: " in SHEET.partition("*/")[0], "told at its head"
        assert f".drawing .s-{role} {{ stroke: var(--dw-{role}); }}" in SHEET
        assert f".drawing .f-{role} {{ fill: var(--dw-{role}); }}" in SHEET
