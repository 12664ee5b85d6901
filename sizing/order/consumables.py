"""Small parts that go with others (thread, wire, labels), and the lengths things are commonly sold in.

Both are CSV tables beside this module, with a source on every row.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache
from importlib import resources
from types import MappingProxyType
from typing import Final, Literal, cast, get_args

from sizing.catalogue import Catalogue
from sizing.errors import CatalogueError
from sizing.order.csv_table import TableRow, read_table
from sizing.order.items import STEP, Item, Unit

Basis = Literal[
    "new cone",
    "eye splice",
    "shackle",
    "stowage bag",
    "attachment",
    "recovery line",
    "winch recovery",
    "tackle recovery",
]

_TABLE_KINDS: Final[Mapping[str, tuple[str, Unit]]] = {
    "ropes": ("rope", "m"), "tapes": ("tape", "m"), "cloths": ("cloth", "m"), "end_weights": ("chain", "m"),
    "chafe_sleeves": ("sleeve", "m"), "thimbles": ("thimble", "piece"), "shackles": ("shackle", "piece"),
    "bags": ("bag", "piece"),
}  # fmt: skip


@dataclass(frozen=True)
class Consumable:
    """`amount` of an item goes with every one of its basis."""

    item: Item
    basis: Basis
    amount: Decimal


@lru_cache(maxsize=1)
def load_consumables() -> tuple[Consumable, ...]:
    """Return the program's own consumables, in the order of their table."""
    return parse_consumables(_content("consumables.csv"), "consumables.csv")


def parse_consumables(data: bytes, name: str) -> tuple[Consumable, ...]:
    """Read a table of consumables; CatalogueError for a cell that cannot be used."""
    table = read_table(data, name, ("id", "name", "kind", "unit", "basis", "amount", "source"), ("note",), {})
    parts = []
    for row in table.rows:
        unit, amount = _unit(row), _decimal(row, "amount")
        basis = row.cells["basis"]
        if basis not in get_args(Basis):
            raise _wrong(row, "basis", f"one of {', '.join(get_args(Basis))}")
        if not row.cells["source"]:
            raise _wrong(row, "source", "where the figure comes from")
        if amount % STEP[unit]:
            raise _wrong(row, "amount", f"a multiple of {STEP[unit]} {unit}")
        item = Item(row.cells["id"], row.cells["kind"], row.cells["name"], unit, row.cells["source"])
        parts.append(Consumable(item, cast("Basis", basis), amount))
    return tuple(parts)


def common_pack_sizes() -> Mapping[str, tuple[Decimal, ...]]:
    """Return the pack sizes each kind is commonly sold in, for an order without a price book."""
    return MappingProxyType({
        kind: tuple(size for size, step in sizes if step is None) for kind, sizes in common_sizes().items()
    })  # fmt: skip


@lru_cache(maxsize=1)
def common_sizes() -> Mapping[str, tuple[tuple[Decimal, Decimal | None], ...]]:
    """Return what each kind is commonly sold in: (pack size, None), or (length, step) where cut to length."""
    table = read_table(
        _content("stock_lengths.csv"),
        "stock_lengths.csv",
        ("kind", "pack_size", "unit", "length_step", "source"),
        ("note",),
        {},
    )
    sizes: dict[str, tuple[tuple[Decimal, Decimal | None], ...]] = {}
    for row in table.rows:
        step = _decimal(row, "length_step") if row.cells["length_step"] else None
        sizes[row.cells["kind"]] = (*sizes.get(row.cells["kind"], ()), (_decimal(row, "pack_size"), step))
    return MappingProxyType(sizes)


def known_items(catalogue: Catalogue) -> Mapping[str, Item]:
    """Return everything that can be ordered, by id: the catalogue's parts and the consumables.

    >>> from sizing.catalogue import load_catalogue
    >>> known_items(load_catalogue())["NDB-10"].unit
    'm'
    """
    items: dict[str, Item] = {}
    for name, (kind, unit) in _TABLE_KINDS.items():
        table = getattr(catalogue, name)
        for part, words, source in zip(table.id, table.name, table.source, strict=True):
            items[part] = Item(part, kind, words, unit, source)
    for part in load_consumables():
        if part.item.id in items:
            raise CatalogueError(
                "consumables.csv",
                f"“{part.item.id}” is also in the catalogue",
                "an id of its own for every part",
                "rename the catalogue's row",
            )
        items[part.item.id] = part.item
    return MappingProxyType(items)


def _content(name: str) -> bytes:
    return resources.files("sizing.order").joinpath(name).read_bytes()


def _unit(row: TableRow) -> Unit:
    unit = row.cells["unit"]
    if unit not in get_args(Unit):
        raise _wrong(row, "unit", f"one of {', '.join(get_args(Unit))}")
    return cast("Unit", unit)


def _decimal(row: TableRow, column: str) -> Decimal:
    text = row.cells[column]
    if not text.replace(".", "", 1).isdecimal() or not text.isascii() or Decimal(text) <= 0:
        raise _wrong(row, column, "a number above 0 in plain digits")
    return Decimal(text)


def _wrong(row: TableRow, column: str, expected: str) -> CatalogueError:
    return row.wrong(column, f"“{row.cells[column]}”", expected, "correct the cell")
