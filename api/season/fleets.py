"""Fleets: made, and the version at which each of them is."""

from __future__ import annotations

import secrets

from sqlalchemy import Connection, insert, select

from api.season.acts import MADE_FLEET, record
from api.season.errors import NotFound
from api.storage.clock import now
from api.storage.schema import fleets
from api.trail import Actor


def make_fleet(connection: Connection, actor: Actor, name: str) -> str:
    """Make a fleet, whose list is handed in next; returns its id."""
    fleet_id = f"f{secrets.token_hex(6)}"
    connection.execute(
        insert(fleets).values(id=fleet_id, name=name, version=0, revision=None, created_at=now())
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
