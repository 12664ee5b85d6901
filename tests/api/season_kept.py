"""What a season holds, to be compared: whatever is drawn by lot or is a time is left out."""

from __future__ import annotations

import contextlib
import hashlib
from pathlib import Path
from typing import Any, Final

from sqlalchemy import Table, select

from api.storage import sqlite
from api.storage.migrate import is_made
from api.storage.schema import fleets, published, revisions, rules, season, stock_files, trail
from api.storage.store import open_store
from api.trail import read_anchors, verify_trail
from tests.api.running import settings

ROWS: Final = {"upload.received": "revisions", "rules.changed": "rules", "fleet.made": "fleets"}


def fingerprint(out: Path) -> str:
    """Everything below a folder as a kill leaves it, the season by what it holds."""
    told = hashlib.sha256(repr(season_in(out)).encode())
    for path in sorted(out.rglob("*")):
        if path.name.startswith("season.sqlite"):
            continue
        told.update(str(path.relative_to(out)).encode())
        if path.is_symlink():
            told.update(str(path.readlink()).encode())
        elif path.is_file():
            told.update(path.read_bytes())
    return told.hexdigest()


def lists_of(told: dict[str, Any] | None) -> Any:
    """The lists and deliveries of a season, without how often something was made of them."""
    return told and (told["revisions"], told["stock"], told["rules"])


def season_in(out: Path) -> dict[str, Any] | None:
    """What a season holds, whatever is drawn by lot or is a time left out; None before there is one.

    The file is sound, the trail whole, and each act has its record and its rows, or neither.
    """
    config = settings(out, prices=None)
    if not is_made(config.url):
        return None
    with contextlib.closing(sqlite.library.connect(str(out / "season.sqlite"))) as file:
        assert file.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        assert file.execute("PRAGMA foreign_key_check").fetchall() == []
    store = open_store(config.url)
    try:
        with store.read() as connection:
            assert verify_trail(connection, read_anchors(config.anchors)).problems == ()
            names: dict[str, tuple[Table, list[str]]] = {
                "revisions": (revisions, ["number", "filename", "sha256", "state", "rules", "day"]),
                "stock": (stock_files, ["number", "kind", "sha256"]),
                "rules": (rules, ["number", "sha256"]),
                "fleets": (fleets, ["name", "version", "revision"]),
                "published": (published, ["revision", "version", "day", "made"]),
                "season": (season, ["rules"]),
                "trail": (trail, ["action"]),
            }  # fmt: skip
            told = {
                name: [
                    tuple(row)
                    for row in connection.execute(
                        select(*(table.c[one] for one in columns)).order_by(*table.primary_key.columns)
                    )
                ]
                for name, (table, columns) in names.items()
            }
    finally:
        store.close()
    actions = [action for (action,) in told["trail"]]
    for action, rows in ROWS.items():
        again = action == "rules.changed" and "list.undone" in actions
        assert again or actions.count(action) == len(told[rows]), action
    stock = actions.count("delivery.received") + actions.count("stock.counted")
    assert stock == len(told["stock"])
    states = [row[3] for row in told["revisions"]]
    assert states.count("in force") == len(states[:1])
    assert actions.count("list.undone") == states.count("taken back")
    return told
