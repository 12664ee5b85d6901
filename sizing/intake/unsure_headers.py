"""What a word stands for that is as often about something else: "Year", "Material", "State", "Type".

Between two columns about the drogue it is about the drogue, between two about the boat about the boat, if its
cells fit. Evidence of gear needs both neighbours: the year of a boat must never become that of her drogue.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from contextlib import suppress
from typing import Final, Literal

from sizing.errors import QuantityError
from sizing.field_kinds import Field
from sizing.intake.header_words import unsure_words
from sizing.intake.words import read_choice, read_yes_no
from sizing.raw_table import RawTable
from sizing.units import ENTERED_IN, DecimalSign, Dimension, clip, read_quantity

_REACH: Final = 3
"""Columns within which a neighbour counts, others that are unsure not counted."""
_GEAR: Final = frozenset(("device", "line", "bridle", "fittings", "state"))
_SILENT: Final = frozenset(("notes", "public", "gear_supply", "gear_supply_date", "gear_supply_by"))
"""Columns that stand anywhere and say nothing of those beside them."""
_LOOKED_AT: Final = 200
_SHARE: Final = 0.5
"""Share of the different cells that have to be readable as what the column is taken for."""
Subject = Literal["boat", "gear"]


def settle(
    place: int,
    word: str,
    known: Mapping[int, Field],
    unsure: Collection[int],
    taken: Collection[str],
    table: RawTable,
) -> tuple[Field | None, str]:
    """Return the column that a word stands for, or None, and why in words.

    `known` has the columns beyond doubt by their places, `unsure` the places of words such as this, `taken`
    the names that other columns stand for. Where only one reading is possible there is no reason to give.
    """
    meant = unsure_words()[word]
    left, right = _beside(place, known, unsure)
    cells = _cells(place, table)
    if left == right == "gear":
        field = meant.gear
        if field and field.name not in taken and _fit(cells, field):
            return field, "the columns on both sides are about the drogue"
    if (field := meant.boat) is not None:
        if meant.alone:
            if field.name not in taken and _fit(cells, field):
                return field, ""
            if meant.taken and meant.taken.name not in taken and field.name in taken:
                return meant.taken, f"another column stands for {field.name}"
        elif (
            "gear" not in (left, right) and left and right and field.name not in taken and _fit(cells, field)
        ):
            return field, "the columns on both sides are about the boat"
    return None, _doubt(word, meant.boat, meant.gear, taken, cells)


def _doubt(
    word: str, boat: Field | None, gear: Field | None, taken: Collection[str], cells: list[str]
) -> str:
    fields = [field for field in (boat, gear) if field]
    free = [field for field in fields if field.name not in taken]
    if not free:
        return f"another column stands for {' and '.join(field.name for field in fields)}"
    if not any(_fit(cells, field) for field in free):
        shown = ", ".join(f"“{clip(cell)}”" for cell in cells[:2])
        names = " or ".join(field.name for field in free)
        return f"“{word}” can mean several things, and {shown} is no answer to {names}"
    names = " or ".join([*(field.name for field in free), "something else"])
    return f"“{word}” could be {names}, and the columns beside it do not tell"


def _beside(
    place: int, known: Mapping[int, Field], unsure: Collection[int]
) -> tuple[Subject | None, Subject | None]:
    """What the nearest known columns on the left and on the right are about; unsure ones are passed over."""
    sides: list[Subject | None] = []
    for step in (-1, 1):
        at, left, field = place, _REACH, None
        while left and field is None:
            at += step
            near = known.get(at)
            if at in unsure or (near and near.name in _SILENT):
                continue
            field = near
            left -= 1
        sides.append(None if field is None else "gear" if field.group in _GEAR else "boat")
    return sides[0], sides[1]


def _cells(place: int, table: RawTable) -> list[str]:
    cells = table.frame[str(place)].str.strip_chars()
    return [cell for cell in cells.unique(maintain_order=True).to_list()[: _LOOKED_AT + 1] if cell][
        :_LOOKED_AT
    ]


def _fit(cells: list[str], field: Field) -> bool:
    return not cells or sum(_reads(cell, field) for cell in cells) >= _SHARE * len(cells)


def _reads(cell: str, field: Field) -> bool:
    if field.kind in ("choice", "yes_no"):
        try:
            return (read_choice(cell, field.name) if field.kind == "choice" else read_yes_no(cell)).value >= 0
        except QuantityError:
            return False
    if field.name.endswith("_year"):
        return re.fullmatch(r"(?:18|19|20)[0-9]{2}", cell) is not None
    if field.kind == "quantity" and field.dimension:
        return _is_quantity(cell, field.dimension)
    return field.kind == "text" or any(sign.isdigit() for sign in cell)


def _is_quantity(cell: str, dimension: Dimension) -> bool:
    signs: tuple[DecimalSign, ...] = (".", ",")
    for sign in signs:
        with suppress(QuantityError):
            read_quantity(cell, dimension, unit=ENTERED_IN[dimension][0], decimal=sign)
            return True
    return False
