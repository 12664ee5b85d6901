"""How the fleet stands: gaps by family of checks, every part in words too."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from sitegen.drawings.lettering import BOLD, fitted, text_width
from sitegen.drawings.marks import Sample
from sitegen.drawings.palette import Role
from sitegen.drawings.sheet import Frame, Hatch, Sheet, both_widths
from sizing.words import word

# Words of sizing.model.Standing, in the order in which they are stacked.
STANDING_LOOKS: Final[Mapping[str, tuple[Hatch, Role]]] = MappingProxyType(
    {
        "short": ("diagonal", "b"),
        "absent": ("cross", "b"),
        "unproven": ("dots", "a"),
        "waived": ("bars", "muted"),
        "meets": ("solid", "c"),
        "not applicable": ("none", "muted"),
    }
)


@dataclass(frozen=True)
class FamilyGaps:
    """One family of checks: how many findings have each standing (words of `STANDING_LOOKS`)."""

    family: str
    counts: Mapping[str, int]


@dataclass(frozen=True)
class GapsByFamily:
    """All families, in the order of the page."""

    families: tuple[FamilyGaps, ...]


def draw_gaps_by_family(prefix: str, gaps: GapsByFamily) -> str:
    """Return one stacked bar a family of checks, for wide and for narrow screens."""
    return both_widths(lambda frame: _gaps(prefix, frame, gaps))


def _gaps(prefix: str, frame: Frame, gaps: GapsByFamily) -> Sheet:
    said = {s: word("standing", s, "officer") for s in STANDING_LOOKS}
    in_words = "; ".join(
        f"{f.family}: " + ", ".join(f"{f.counts[s]:,} {said[s]}" for s in STANDING_LOOKS if f.counts.get(s))
        for f in gaps.families
    )
    sheet = Sheet(prefix, frame, "Findings by family of checks", f"{in_words}.")
    used = [s for s in STANDING_LOOKS if any(f.counts.get(s) for f in gaps.families)]
    y = (
        sheet.key(
            8.0,
            16.0,
            sheet.width - 16.0,
            [(_sample(sheet, *STANDING_LOOKS[s]), said[s]) for s in used],
        )
        + 14.0
    )
    largest = max(sum(f.counts.values()) for f in gaps.families) or 1
    room = sheet.width - 16.0
    for family in gaps.families:
        parts = [(s, family.counts.get(s, 0)) for s in used if family.counts.get(s, 0)]
        y += sheet.font
        sheet.text(8.0, y, fitted(family.family, sheet.font * BOLD, room), bold=True)
        y += 7.0
        x = 8.0
        for standing, number_of in parts:
            width = number_of / largest * room
            words = f"{number_of:,} {said[standing]}"
            _part(sheet, x, y, width, 14.0, *STANDING_LOOKS[standing], words=words)
            x += width
        y = _flow(sheet, y + 14.0, [f"{n:,} {said[s]}" for s, n in parts] or ["no findings"]) + 14.0
    sheet.height = y
    return sheet


def _sample(sheet: Sheet, hatch: Hatch, role: Role) -> Sample:
    return lambda x, y: _part(sheet, x, y - 6.0, 22.0, 12.0, hatch, role)


def _part(
    sheet: Sheet,
    x: float,
    y: float,
    width: float,
    height: float,
    hatch: Hatch,
    role: Role,
    words: str | None = None,
) -> None:
    """Draw one part of a bar: its outline in its colour, its inside hatched."""
    sheet.rect(
        x,
        y,
        width,
        height,
        role,
        1.2,
        hatch=sheet.pattern(hatch, role),
        title=words,
        part="bar" if words else None,
    )


def _flow(sheet: Sheet, y: float, words: Sequence[str]) -> float:
    """Write words one after another, over as many lines as they take; return the last baseline."""
    size = sheet.font - 1.0
    line = ""
    y += size + 4.0
    for one in words:
        longer = f"{line} · {one}" if line else one
        if line and text_width(longer, size) > sheet.width - 16.0:
            sheet.text(8.0, y, line, tone="muted", size=size)
            y, longer = y + size * 1.35, one
        line = longer
    sheet.text(8.0, y, line, tone="muted", size=size)
    return y
