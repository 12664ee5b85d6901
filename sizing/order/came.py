"""Rope that came instead of what was ordered: another make, a thicker one, another strength.

What a note does not say of a rope is never guessed: each cell that is wanting is asked for.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Final, TypeAlias

from sizing.errors import CatalogueError, QuantityError
from sizing.fields import CHOICES
from sizing.order.amounts import decimal_sign, parse_price
from sizing.order.csv_table import TableRow, refuse
from sizing.order.items import Item
from sizing.units import Dimension, clip, parse_quantity

CAME_COLUMNS: Final = (
    "came_diameter", "came_brand", "came_material", "came_strength", "certificate", "came_mass_per_m",
    "came_price",
)  # fmt: skip
NEEDED: Final[Mapping[str, str]] = {
    "came_diameter": "its diameter, such as 18 mm",
    "came_brand": "its maker and make, as on the label",
    "came_material": f"one of {', '.join(CHOICES['line_material'])}",
    "came_strength": "its certified minimum breaking strength, such as 71 kN",
    "certificate": "whose certificate that is, with its number",
    "came_price": "the price of one pack, such as 412.50",
}
SUITABLE: Final = "nylon double braid"


@dataclass(frozen=True)
class CameRope:
    """A rope that came; SI. `mass_kg_per_m` is None where the note does not say it; price of one pack."""

    item: Item
    instead_of: str
    diameter_m: float
    strength_n: float
    material: str
    certificate: str
    mass_kg_per_m: float | None
    price: Decimal

    @property
    def suits(self) -> bool:
        """Whether parts may be made of it: its fibre and construction are those that the figures hold for."""
        return self.material == SUITABLE


Key: TypeAlias = tuple[int, str]
"""A boat's row, and the purpose of a piece."""

CutOf: TypeAlias = Mapping[Key, CameRope]
"""What pieces are cut of that is not of the catalogue."""


def came_instead(row: TableRow, ordered: Item, came: bool) -> CameRope | None:
    """What came instead of an item, None where the row says nothing of it.

    Raises CatalogueError that names every cell that is wanting or cannot be read.
    """
    told = {column: row.cell(column) for column in CAME_COLUMNS if row.cell(column)}
    if not told:
        return None
    if ordered.kind != "rope" or not came:
        first = next(iter(told))
        raise row.wrong(first, f"“{clip(told[first])}” of {ordered.description}",
                        "what came instead of rope, in a row that says how many packs came",
                        "leave the cell empty; other parts that came are rows of their own item")  # fmt: skip
    problems: list[CatalogueError] = [
        row.wrong(column, "nothing is said", expected, "look at the rope, its label or its certificate")
        for column, expected in NEEDED.items() if column not in told
    ]  # fmt: skip
    diameter = _quantity(row, "came_diameter", "small_length", problems)
    strength = _quantity(row, "came_strength", "force", problems)
    mass = _quantity(row, "came_mass_per_m", "mass", problems)
    material = told.get("came_material", "").lower()
    if material and material not in CHOICES["line_material"]:
        problems.append(row.wrong("came_material", f"“{clip(material)}”", NEEDED["came_material"],
                                  "write one of these words"))  # fmt: skip
    price = Decimal(0)
    try:
        price = (
            parse_price(text, decimal_sign([text]), row.place("came_price"))
            if (text := told.get("came_price", ""))
            else price
        )
    except CatalogueError as problem:
        problems.append(problem)
    if problems:
        raise refuse(row.columns.name, problems)
    assert diameter is not None
    assert strength is not None
    brand = told["came_brand"]
    words = f"{1000 * diameter:.4g} mm {material}, {brand}, {strength / 1000:.4g} kN by {told['certificate']}"
    mark = hashlib.sha256(f"{words}/{mass}".encode()).hexdigest()[:3].upper()
    item = Item(f"CAME-{1000 * diameter:.4g}-{mark}", "rope", words, "m", "as it came")
    return CameRope(item, ordered.id, diameter, strength, material, told["certificate"], mass, price)


def _quantity(
    row: TableRow, column: str, dimension: Dimension, problems: list[CatalogueError]
) -> float | None:
    text = row.cell(column)
    if not text:
        return None
    unit = row.columns.units.get(column) or None
    try:
        found = parse_quantity(text, dimension, unit=unit)
    except QuantityError as problem:
        problems.append(row.wrong(column, problem.found, problem.expected, problem.mend))
        return None
    if found <= 0:
        problems.append(
            row.wrong(column, f"“{clip(text)}”", "a figure above zero", "write what is on the label")
        )
        return None
    return found
