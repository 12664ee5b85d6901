"""What is declared of a column of the entry sheet, with a short way to declare each kind of column."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

from sizing.units import ENTERED_IN, Dimension, both

Kind = Literal["text", "choice", "quantity", "quantities", "count", "counts", "date", "yes_no", "bolts"]
Group = Literal["boat", "people", "device", "line", "bridle", "fittings", "state"]
Audience = Literal["everybody", "officer", "contact"]

MOST_SECTIONS: Final = 3
"""Sections of cone line that a sheet can tell of."""

_SUFFIX: Final = {"length": "_m", "small_length": "_m", "mass": "_kg", "force": "_n", "area": "_m2"}
_GRAMMAR: Final = {
    "quantity": r".*[0-9¼½¾⅛⅜⅝⅞].*",
    "quantities": r".*[0-9¼½¾⅛⅜⅝⅞].*",
    "count": r"[0-9]{1,6}",
    "counts": r"[0-9]{1,6}([^0-9]+[0-9]{1,6})*",
    "bolts": r"[0-9]{1,3}[^0-9]*M *[0-9]{1,2}.*",
}
"""What a cell of each kind looks like at the least, as a pattern of ECMA-262 without case: enough for a phone
to see a slip. How it is read is up to the intake alone."""


@dataclass(frozen=True)
class Field:
    """One column of the entry sheet.

    `dimension` is set for quantities; "small_length" is a length usually written in mm or inches. `limits`
    are physical bounds in SI: a value outside is a slip, not an unusual boat. `words` are those of a choice.
    What is not for everybody is published nowhere; a contact detail is besides taken out of every other text.
    `measured`: a scrutineer may measure it. `sizes`: what a boat needs follows from it. `sheet`: the part of
    the scrutineer's sheet where it stands, if it can be counted, measured or read on a dock by one person.
    """

    name: str
    kind: Kind
    group: Group
    guidance: str
    example: str
    aliases: tuple[str, ...] = ()
    dimension: Dimension | None = None
    limits: tuple[float, float] | None = None
    words: tuple[str, ...] = ()
    long_name: str = ""
    required: bool = False
    audience: Audience = "everybody"
    measured: bool = True
    sizes: bool = False
    sheet: str = ""

    @property
    def label(self) -> str:
        """Its name for readers, in small letters."""
        return self.long_name or self.name.replace("_", " ")

    @property
    def si_name(self) -> str:
        """Name of its value inside the program, with the unit."""
        return self.name + ("_day" if self.kind == "date" else _SUFFIX.get(self.dimension or "", ""))

    @property
    def numbers(self) -> tuple[str, ...]:
        """Names of the columns of figures that are read from it."""
        if self.kind == "bolts":
            return ("bolt_count", "bolt_size_mm", "bolt_tensile_pa")
        if self.kind == "counts":
            return tuple(f"{self.name}_{place}" for place in range(1, MOST_SECTIONS + 1))
        return () if self.kind in ("text", "choice", "quantities") else (self.si_name,)

    @property
    def private(self) -> bool:
        """Whether it is a contact detail."""
        return self.audience == "contact"

    @property
    def published(self) -> bool:
        """Whether others than the officer may see it."""
        return self.audience == "everybody"

    @property
    def units(self) -> tuple[str, str] | None:
        """The units in which it is usually entered, metric and US; None where it has none."""
        return ENTERED_IN[self.dimension] if self.dimension else None

    @property
    def grammar(self) -> str:
        """A pattern (ECMA-262, without case) that every cell fits; "" where any words may stand."""
        return _GRAMMAR.get(self.kind, "")

    @property
    def expected(self) -> str:
        """What may be written in it, in words."""
        if self.kind == "choice":
            return "one of: " + ", ".join(self.words)
        if self.limits and self.dimension:
            bounds = " to ".join(both(limit, self.dimension) for limit in self.limits)
            return f"{self.guidance} For example: {self.example}, from {bounds}"
        return f"{self.guidance} For example: {self.example}"


def quantity(
    name: str,
    group: Group,
    dimension: Dimension,
    limits: tuple[float, float],
    guidance: str,
    example: str,
    aliases: tuple[str, ...] = (),
    *,
    kind: Kind = "quantity",
    long_name: str = "",
    required: bool = False,
    sizes: bool = False,
    sheet: str = "",
) -> Field:
    """A figure with its unit."""
    return Field(
        name, kind, group, guidance, example, aliases, dimension, limits,
        long_name=long_name, required=required, sizes=sizes, sheet=sheet,
    )  # fmt: skip


def text(
    name: str,
    group: Group,
    guidance: str,
    example: str,
    aliases: tuple[str, ...] = (),
    *,
    required: bool = False,
    audience: Audience = "everybody",
) -> Field:
    """Words that are kept as they are written."""
    return Field(
        name, "text", group, guidance, example, aliases,
        required=required, audience=audience, measured=False,
    )  # fmt: skip


def choice(
    name: str,
    group: Group,
    words: tuple[str, ...],
    guidance: str,
    aliases: tuple[str, ...] = (),
    *,
    required: bool = False,
    measured: bool = True,
    sizes: bool = False,
    long_name: str = "",
    sheet: str = "",
) -> Field:
    """One of some `words`, the first of which is the example."""
    return Field(
        name, "choice", group, guidance, words[0], aliases, words=words,
        required=required, measured=measured, sizes=sizes, long_name=long_name, sheet=sheet,
    )  # fmt: skip


def yes_no(
    name: str,
    group: Group,
    guidance: str,
    aliases: tuple[str, ...],
    *,
    measured: bool = True,
    long_name: str = "",
    sheet: str = "",
) -> Field:
    """Yes or no."""
    return Field(
        name, "yes_no", group, guidance, "yes", aliases, words=("yes", "no"), measured=measured,
        long_name=long_name, sheet=sheet,
    )  # fmt: skip


def date(
    name: str,
    group: Group,
    guidance: str,
    example: str,
    aliases: tuple[str, ...],
    *,
    measured: bool = True,
    long_name: str = "",
) -> Field:
    """One day."""
    return Field(name, "date", group, guidance, example, aliases, measured=measured, long_name=long_name)
