"""What a new upload changes, boat by boat and cell by cell, contact details left out."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from sqlalchemy import Connection, select

from api.judging.sheet import BoatCells
from api.storage.schema import entries, results
from sizing.redaction import redact

MOST_CHANGES_KEPT: Final = 5_000


@dataclass(frozen=True)
class Before:
    """A boat as one upload has her."""

    entry_no: str
    boat_name: str
    open_shalls: int
    cells: Mapping[str, str]


def entries_before(connection: Connection, fleet_id: str) -> dict[str, Before]:
    """The boats now in the tables, by id."""
    rows = connection.execute(
        select(entries.c.boat_id, entries.c.entry_no, entries.c.boat_name, entries.c.cells,
               results.c.open_shalls)
        .join_from(entries, results, (results.c.fleet_id == entries.c.fleet_id)
                   & (results.c.boat_id == entries.c.boat_id))
        .where(entries.c.fleet_id == fleet_id)
        .order_by(entries.c.row)
    )  # fmt: skip
    found = {}
    for row in rows:
        boat = BoatCells.of(json.loads(row.cells))
        cells = {name: redact(cell, boat.private) for name, cell in boat.cells.items()}
        found[row.boat_id] = Before(row.entry_no, row.boat_name, row.open_shalls, cells)
    return found


def changes_between(before: Mapping[str, Before], after: Mapping[str, Before]) -> dict[str, Any]:
    """Boats that came, boats that went, cells that changed, and how many shalls are open then and now."""
    cells = [
        {"boat_id": key, "entry_no": now.entry_no, "field": name, "before": was_cell, "after": now_cell}
        for key, now in after.items()
        if (was := before.get(key)) is not None
        for name in sorted(was.cells.keys() | now.cells.keys())
        if (was_cell := was.cells.get(name, "")) != (now_cell := now.cells.get(name, ""))
    ]
    return {
        "added": [_named(key, boat) for key, boat in after.items() if key not in before],
        "removed": [_named(key, boat) for key, boat in before.items() if key not in after],
        "cells": cells[:MOST_CHANGES_KEPT],
        "cells_changed": len(cells),
        "open_shalls": [
            {
                "boat_id": key,
                "entry_no": now.entry_no,
                "before": before[key].open_shalls,
                "after": now.open_shalls,
            }
            for key, now in after.items()
            if key in before and before[key].open_shalls != now.open_shalls
        ],
    }


def _named(key: str, boat: Before) -> dict[str, str]:
    return {"boat_id": key, "entry_no": boat.entry_no, "boat_name": boat.boat_name}
