"""Ordering again when some is bought or cut already: only what is still wanted, nothing twice."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path
from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from sizing.errors import CatalogueError
from sizing.order.csv_table import TableRow, read_bytes, read_table
from sizing.order.items import CUT_KINDS, STEP, Item
from sizing.order.stock import ClubStock, CutStock
from sizing.units import clip

REQUIRED = ("item",)
OPTIONAL = ("packs", "pack_size", "quantity", "unit", "cut", "supplier", "note")
ALIASES = {
    "bought": "packs",
    "spools": "packs",
    "size": "pack_size",
    "spool_length": "pack_size",
    "amount": "quantity",
    "units": "unit",
    "spools_cut": "cut",
    "packs_cut": "cut",
    "item_id": "item",
}

Amount = Annotated[Decimal, Field(ge=0, le=10**9)]
"""A decimal number of an earlier order."""


class _Read(BaseModel):
    model_config = ConfigDict(frozen=True, extra="ignore", allow_inf_nan=False)


class PreviousPiece(_Read):
    """Equal pieces on one spool of an earlier order."""

    entry_no: str
    purpose: str
    length_m: Amount
    quantity: int = Field(ge=1, le=1_000_000)


class PreviousSpool(_Read):
    """One spool of an earlier order as it was to be cut."""

    item: str
    spool_no: int
    from_stock: bool
    length_m: Amount
    offcut_m: Amount
    pieces: tuple[PreviousPiece, ...]


class PreviousLine(_Read):
    """One line of an earlier order: what was to be bought."""

    item: str
    pack_size: Amount | None
    packs: int | None


class PreviousOrder(_Read):
    """As much of an earlier order's JSON as a later one needs."""

    schema_no: int = Field(alias="schema", ge=1, le=1)
    lines: tuple[PreviousLine, ...]
    spools: tuple[PreviousSpool, ...]


@dataclass(frozen=True)
class _Row:
    """One row of what was bought: whole packs, or a plain sum; `cut` of the packs are cut already."""

    item: Item
    packs: int
    pack_size: Decimal
    total: Decimal
    cut: int


def load_previous(path: Path) -> PreviousOrder:
    """Read the order.json of an earlier run; CatalogueError if it is none."""
    return parse_previous(read_bytes(path), path.name)


def parse_previous(data: bytes, name: str) -> PreviousOrder:
    """Read the bytes of an earlier order.json called `name`."""
    try:
        return PreviousOrder.model_validate(json.loads(data))
    except (ValueError, RecursionError) as problem:
        found = "it is not JSON"
        if isinstance(problem, ValidationError):
            first = problem.errors(include_url=False, include_context=False, include_input=False)[0]
            found = f"{'.'.join(str(part) for part in first['loc'])}: {first['msg']}"
        raise CatalogueError(
            name, found, "the order.json of an earlier run", "give that file as the program wrote it"
        ) from problem


def load_bought(path: Path, previous: PreviousOrder, known: Mapping[str, Item]) -> ClubStock:
    """Read what was bought since an earlier order; see `parse_bought`."""
    return parse_bought(read_bytes(path), path.name, previous, known)


def parse_bought(data: bytes, name: str, previous: PreviousOrder, known: Mapping[str, Item]) -> ClubStock:
    """Read what was bought: columns item and packs (with pack_size), or item and quantity with its unit.

    A pack size left out is that of the earlier order, if it had one only. `cut` counts how many of the packs
    have been cut; those are the first spools of that length in the earlier cut list, so their pieces and
    offcuts are in hand and the rest of the packs is whole. Rows of one item add up.

    Raises CatalogueError naming file, line and column for everything that cannot be used.
    """
    table = read_table(data, name, REQUIRED, OPTIONAL, ALIASES)
    lengths: dict[str, list[int]] = {}
    sums: dict[str, Decimal] = {}
    cut: dict[str, list[CutStock]] = {}
    spools = _waiting(previous)

    def take(row: TableRow) -> None:
        bought = _row(row, previous, known)
        item = bought.item.id
        if bought.item.kind not in CUT_KINDS:
            sums[item] = sums.get(item, Decimal(0)) + bought.total
            return
        whole = [int(bought.pack_size / STEP["m"])] * (bought.packs - bought.cut)
        lengths.setdefault(item, []).extend(whole)
        for spool in _cut_spools(row, bought, spools):
            lengths[item].append(int(spool.offcut_m / STEP["m"]))
            cut.setdefault(item, []).extend(
                CutStock(p.entry_no, p.purpose, int(p.length_m / STEP["m"]), p.quantity) for p in spool.pieces
            )

    table.each(take)
    return ClubStock(
        lengths_mm={item: tuple(mm for mm in found if mm > 0) for item, found in lengths.items()},
        sums=sums,
        cut={item: tuple(found) for item, found in cut.items()},
    )


def _waiting(previous: PreviousOrder) -> dict[tuple[str, Decimal], list[PreviousSpool]]:
    """Bought spools of the earlier order by item and length, in the order they were to be cut."""
    spools: dict[tuple[str, Decimal], list[PreviousSpool]] = {}
    for spool in sorted(previous.spools, key=lambda spool: spool.spool_no):
        if not spool.from_stock:
            spools.setdefault((spool.item, spool.length_m.normalize()), []).append(spool)
    return spools


def _cut_spools(
    row: TableRow, bought: _Row, spools: dict[tuple[str, Decimal], list[PreviousSpool]]
) -> list[PreviousSpool]:
    waiting = spools.get((bought.item.id, bought.pack_size.normalize()), [])
    if bought.cut > len(waiting):
        raise row.wrong(
            "cut",
            f"{bought.cut} packs of {bought.pack_size} m are cut, and the earlier order cuts {len(waiting)}",
            "no more than in its cut list",
            "measure what is left of the others and give it among the remnants",
        )
    taken, waiting[:] = waiting[: bought.cut], waiting[bought.cut :]
    return taken


def _row(row: TableRow, previous: PreviousOrder, known: Mapping[str, Item]) -> _Row:
    """Read one row whole."""
    item = known.get(row.cells["item"])
    if item is None:
        found = f"“{clip(row.cells['item'])}” is not in the catalogue"
        raise row.wrong("item", found, "an item of the order", "copy the id from order.csv")
    if row.cell("packs"):
        packs, size = row.count("packs"), _pack_size(row, item, previous)
        total = size * packs
    elif row.cell("quantity"):
        total = row.size("quantity", item.unit)
        if item.kind not in CUT_KINDS:
            return _Row(item, 0, Decimal(0), total, 0)
        size = _pack_size(row, item, previous)
        if total % size:
            found = f"{total} m is not a whole number of packs of {size} m"
            mend = "give packs and pack_size, and loose lengths among the remnants"
            raise row.wrong("quantity", found, "whole packs", mend)
        packs = int(total / size)
    else:
        raise row.wrong("item", f"{item.id} has no packs and no quantity", "how much was bought",
                        "fill in packs or quantity")  # fmt: skip
    cut = row.count("cut")
    if cut > packs or (cut and item.kind not in CUT_KINDS):
        raise row.wrong("cut", f"{cut} cut of {packs} bought", "no more than were bought, of what is cut",
                        "correct one of the two")  # fmt: skip
    return _Row(item, packs, size, total, cut)


def _pack_size(row: TableRow, item: Item, previous: PreviousOrder) -> Decimal:
    """Return the pack size a row gives, or that of the earlier order if it had one only."""
    if row.cell("pack_size"):
        return row.size("pack_size", item.unit)
    sizes = {line.pack_size for line in previous.lines if line.item == item.id and line.pack_size}
    if len(sizes) != 1:
        found = f"no pack size is given, and the earlier order has {len(sizes) or 'none'} of {item.id}"
        raise row.wrong("pack_size", found, "the size of the packs bought", "fill in pack_size")
    return next(iter(sizes))
