"""The boats of the list in force, for acts that judge nothing: by entry number, or by their id."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from sqlalchemy import Connection, select

from api.judging.identity import boat_id
from api.season.errors import NotFound
from api.season.fleets import fleet_version
from api.season.lists import has_ready_answers, state_of
from api.season.rules import rules_of
from api.storage.schema import entries
from sizing.intake import read_fleet
from sizing.units import clip


@dataclass(frozen=True)
class ListedBoat:
    """A boat by name."""

    boat_id: str
    entry_no: str
    boat_name: str


def listed_boat(connection: Connection, fleet_id: str, boat: str, called: str = "") -> ListedBoat:
    """Return the boat of this id; NotFound where the list in force has no such boat.

    `called` is what she was called by whoever asks: her entry number.
    """
    fleet_version(connection, fleet_id)
    if has_ready_answers(connection, fleet_id):
        here = entries.c.fleet_id == fleet_id, entries.c.boat_id == boat
        row = connection.execute(select(entries.c.entry_no, entries.c.boat_name).where(*here)).first()
        if row is not None:
            return ListedBoat(boat, row.entry_no, row.boat_name)
    else:
        for one in boats_of_list(connection, fleet_id):
            if one.boat_id == boat:
                return one
    raise NotFound(
        f"entry {clip(called)}" if called else "boat", "the entry list in force has no such boat",
        "the entry number of a boat of the list in force", "look her up in the list; nothing was recorded",
    )  # fmt: skip


def boats_of_list(connection: Connection, fleet_id: str) -> list[ListedBoat]:
    """The boats of the list in force, from the list itself: answers about them are not made yet."""
    kept = state_of(connection, fleet_id).in_force
    if kept is None:
        return []
    day = dt.date.fromisoformat(kept.day) if kept.day else dt.date.today()
    profile = rules_of(connection, kept.rules or 0).profile
    text = read_fleet(kept.content, kept.filename, today=day, profile=profile).fleet.text
    return [
        ListedBoat(boat_id(str(entry)), str(entry), str(name))
        for entry, name in zip(text["entry_no"], text["boat_name"], strict=True)
    ]
