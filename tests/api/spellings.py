"""The same cell as different people write it: units, decimal signs, dates, words."""

from __future__ import annotations

import datetime as dt
import math
import re
from random import Random

from sizing.field_kinds import Field
from sizing.fields import FIELD_BY_NAME
from sizing.unit_words import FORCE_CAPITALS, SPELLINGS
from sizing.units import DecimalSign, Dimension, parse_quantity, unit_factor

HEADED = {"lead_line_diameter": "mm", "displacement": "lb", "shackle_rating": "kN", "end_weight": "kg"}
"""Columns whose header gives the unit, so that the list has bare figures in them."""


def respelled(name: str, cell: str, sign: DecimalSign, dice: Random) -> str:
    """The cell of a column, its unit told, as somebody may write it in a list with this decimal sign."""
    field = FIELD_BY_NAME[name]
    forms = [cell]
    if not cell:
        pass
    elif field.dimension is not None:
        forms = ["; ".join(_quantity(field, part.strip(), sign, dice) for part in cell.split(";"))]
    elif field.kind == "date":
        day = dt.date.fromisoformat(cell)
        forms += [f"{day.day} {day:%B %Y}", f"{day:%b} {day.day}, {day.year}"]
        forms += [f"{day:%d.%m.%Y}"] if day.day > 12 else []
    elif field.kind == "yes_no":
        forms += {"yes": ["Y", "x", "ja", "true"], "no": ["N", "nein", "false"]}[cell]
    elif field.kind == "choice":
        forms += [cell.upper(), f" {cell}. "]
    elif field.kind == "bolts":
        forms += [cell.replace(" x ", " × "), cell.replace(" x ", " off ")]
    return dice.choice(forms)


def bare(name: str, cell: str, sign: DecimalSign) -> str:
    """The cell of a column in `HEADED` as it stands under its header: the figure alone."""
    unit = HEADED[name]
    return (
        figure(_si(FIELD_BY_NAME[name], cell) / unit_factor(unit, _dimension(name)), sign) if cell else cell
    )


def figure(value: float, sign: DecimalSign) -> str:
    """A figure to six digits, its thousands grouped where it has any; decimals with the sign."""
    decimals = min(max(5 - math.floor(math.log10(value)), 0), 9) if value else 0
    text = f"{value:,.{decimals}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return text if sign == "." else text.translate(str.maketrans(".,", ",."))


def _quantity(field: Field, cell: str, sign: DecimalSign, dice: Random) -> str:
    dimension = _dimension(field.name)
    words = dice.choice(list(SPELLINGS[dimension].values()))
    word = dice.choice([one for one in words if one != "'" or dimension == "length"])
    shown = FORCE_CAPITALS.get(word, word) if dimension == "force" else dice.choice([word, word.capitalize()])
    value = _si(field, cell) / unit_factor(word, dimension)
    return f"{figure(value, sign)}{dice.choice(['', ' '])}{shown}"


def _si(field: Field, cell: str) -> float:
    assert re.search("[a-z]", cell), (field.name, cell)
    return parse_quantity(cell, _dimension(field.name))


def _dimension(name: str) -> Dimension:
    dimension = FIELD_BY_NAME[name].dimension
    assert dimension is not None
    return dimension
