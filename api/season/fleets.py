"""The fleets of a season: made, found by name, and where their outputs lie."""

from __future__ import annotations

import secrets

from sqlalchemy import Connection, func, insert, select

from api.season.acts import MADE_FLEET, record
from api.season.errors import NotFound
from api.storage.clock import now
from api.storage.schema import fleets
from api.trail import Actor
from sizing.errors import InputError


def make_fleet(connection: Connection, actor: Actor, name: str) -> str:
    """Make a fleet; its id. What is made for the first lies in the output folder itself."""
    fleet_id = f"f{secrets.token_hex(6)}"
    is_first = not connection.execute(select(func.count()).select_from(fleets)).scalar_one()
    folder = "" if is_first else f"fleets/{fleet_id}"
    connection.execute(
        insert(fleets).values(
            id=fleet_id, name=name, version=0, revision=None, folder=folder, created_at=now()
        )
    )
    record(connection, actor, MADE_FLEET, fleet_id, fleet_id, after={"name": name})
    return fleet_id


def fleet_version(connection: Connection, fleet_id: str) -> int:
    """The version of a fleet; NotFound where there is no such fleet."""
    version = connection.execute(select(fleets.c.version).where(fleets.c.id == fleet_id)).scalar()
    if version is None:
        raise NotFound(
            "fleet", "there is no such fleet", "the id of a fleet", "take the id from the list of fleets"
        )
    return int(version)


def fleet_named(connection: Connection, name: str) -> str | None:
    """The id of the one fleet that a command is about; None where there is none to be about yet.

    `name` may be a name or an id, and left out where there is one fleet. Raises InputError where it is not
    clear which is meant.
    """
    rows = connection.execute(select(fleets.c.id, fleets.c.name).order_by(fleets.c.created_at)).all()
    if not name:
        if len(rows) < 2:
            return rows[0].id if rows else None
        found = f"there are {len(rows)} fleets in this season"
    else:
        wanted = name.strip().casefold()
        meant = [row.id for row in rows if wanted in (row.id, row.name.strip().casefold())]
        if len(meant) < 2:
            return meant[0] if meant else None
        found = f"{len(meant)} fleets are called “{name}”"
    named = ", ".join(f"“{row.name}” ({row.id})" for row in rows)
    raise InputError("--fleet", found, f"the name or id of one of them: {named}", "add --fleet NAME")


def refuse_another(connection: Connection, name: str) -> None:
    """InputError where the season has fleets, and none of this name: it may be a slip."""
    names = connection.execute(select(fleets.c.name).order_by(fleets.c.created_at)).scalars().all()
    if names:
        named = ", ".join(f"“{one}”" for one in names)
        raise InputError("--fleet", f"no fleet of this season is called “{name}”", f"one of them: {named}",
                         "correct the name; for a further fleet add --new-fleet")  # fmt: skip
