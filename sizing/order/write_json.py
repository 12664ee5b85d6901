"""The order as JSON, with boats by entry number, so that a later run can order what is still wanted.

The fleet's own account, of spares, has the entry number "".
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from decimal import Decimal
from typing import Any, Final

from sizing.model import CutSpool, FleetColumns, Order, OrderLine, Piece
from sizing.order.charges import owed_by
from sizing.order.fitted import boats_known
from sizing.order.length_stock import runs
from sizing.order.sheets import Names, decimal_m, in_hand_lengths
from sizing.spreadsheet import plain_text

SCHEMA: Final = 1


def json_bytes(order: Order, fleet: FleetColumns) -> bytes:
    """Return the order as JSON bytes; money and quantities are text, so that no digit is lost."""
    names = Names(fleet)
    shelf = in_hand_lengths(order)
    content = {
        "schema": SCHEMA,
        "currency": order.currency,
        "total": _text(order.total),
        "boat_totals": _boats(order.boat_totals, names),
        "prices": _prices(order, names),
        "lines": [_line(line, names) for line in order.lines],
        "spools": [
            _spool(spool, names, from_stock=spool.spool_no <= shelf.get(spool.item, 0))
            for spool in order.spools
        ],
        "cutting": [
            {
                "item": s.item, "pieces": s.pieces, "spools": s.spools, "cost": _text(s.cost),
                "bound": _text(s.bound), "optimal": s.optimal, "gap_percent": round(s.gap_percent, 6),
                "waste_percent": round(s.waste_percent, 6), "method": s.method,
            }
            for s in order.cutting
        ],
        "entries": boats_known(list(map(str, fleet.text["entry_no"])), order.problems),
        "pieces": [_piece(piece, names) for piece in order.pieces],
        "not_ordered": [_piece(piece, names) for piece in order.would_be.pieces],
        "problems": [
            {"entry_no": plain_text(names.of(p.row)[0]), "item": p.item, "problem": plain_text(p.sentence)}
            for p in order.problems
        ],
        "together": {
            "saving": _text(order.together.saving), "cost": _text(order.together.cost),
            "bound": _text(order.together.bound), "gap_percent": round(order.together.gap_percent, 6),
            "time_ran_out": order.together.time_ran_out,
            "thicker": [
                {
                    "entry_no": plain_text(names.of(piece.row)[0]), "purpose": piece.purpose,
                    "item": piece.item, "needed": piece.needed, "sizes": piece.sizes,
                }
                for piece in order.together.pieces
            ],
        },
        "left_over": [{"item": one.item, "said": plain_text(one.sentence)} for one in order.left_over],
    }  # fmt: skip
    return (json.dumps(content, ensure_ascii=False, indent=1) + "\n").encode("utf-8")


def _line(line: OrderLine, names: Names) -> dict[str, Any]:
    return {
        "item": line.item, "description": plain_text(line.description), "unit": line.unit,
        "needed": _text(line.needed), "spare": _text(line.spare), "pack_size": _text(line.pack_size),
        "packs": line.packs, "supplier": plain_text(line.supplier), "pack_price": _text(line.pack_price),
        "amount": _text(line.amount), "lead_days": line.lead_days, "boats": _boats(line.boats, names),
        "note": plain_text(line.note),
    }  # fmt: skip


def _piece(piece: Piece, names: Names) -> dict[str, Any]:
    return {
        "entry_no": plain_text(names.of(piece.row)[0]), "item": piece.item, "kind": piece.kind,
        "purpose": piece.purpose, "quantity": piece.quantity, "length_m": _length(piece.length_m),
        "source": piece.source,
    }  # fmt: skip


def _spool(spool: CutSpool, names: Names, *, from_stock: bool) -> dict[str, Any]:
    return {
        "item": spool.item,
        "spool_no": spool.spool_no,
        "from_stock": from_stock,
        "tag": spool.tag,
        "length_m": _length(spool.spool_length_m),
        "offcut_m": _length(spool.offcut_m),
        "pieces": [
            {
                "entry_no": plain_text(names.of(piece.row)[0]), "purpose": piece.purpose,
                "length_m": _length(piece.length_m), "quantity": count,
            }
            for piece, count in runs(spool)
        ],
    }  # fmt: skip


def _boats(shares: Mapping[int, Decimal], names: Names) -> dict[str, str | None]:
    return {plain_text(names.of(row)[0]): _text(amount) for row, amount in shares.items()}


def _prices(order: Order, names: Names) -> dict[str, dict[str, Any]]:
    """What each boat owes in all, or would pay through the rally, and whether all of it has a price."""
    priced: dict[int, bool] = {}
    for lines, bought in ((order.lines, True), (order.would_be.lines, False)):
        for line in lines:
            for row in line.boats:
                if row >= 0 and order.buys_for(row) is bought:
                    priced[row] = priced.get(row, True) and line.amount is not None
    told = {}
    for row, whole in priced.items():
        entry = names.of(row)[0]
        amount = owed_by(order, entry) if order.buys_for(row) else order.would_be.boat_totals.get(row)
        told[plain_text(entry)] = {"amount": _text(amount), "whole": whole}
    return told


def _text(value: Decimal | None) -> str | None:
    return None if value is None else f"{value:f}"


def _length(length_m: float | None) -> str | None:
    return None if length_m is None else f"{decimal_m(length_m):f}"
