"""What was done to the season, a line an act: when, who, what, and to which boat or list."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from typing import Any, Final

from sqlalchemy import Connection, RowMapping, select

from api.season.acts import ACTS, words_of
from api.season.fleets import fleet_version
from api.storage.clock import to_the_minute
from api.storage.schema import entries, fleets, inspections, jobs, revisions, trail


def log_lines(connection: Connection, fleet_id: str | None, last: int) -> list[str]:
    """The last so many acts, newest last; of one fleet where it is named, NotFound where there is none."""
    query = select(trail).order_by(trail.c.seq.desc()).limit(last)
    if fleet_id is not None:
        fleet_version(connection, fleet_id)
        query = query.where(trail.c.fleet_id == fleet_id)
    rows = connection.execute(query).mappings().all()
    told = _Told(connection)
    several = fleet_id is None and len(told.fleets) > 1
    return [told.line(row, with_fleet=several) for row in reversed(rows)]


class _Told:
    """Says what a record is about; a name is looked up where the season still knows it."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection
        self.fleets = {row.id: row.name for row in connection.execute(select(fleets.c.id, fleets.c.name))}

    def line(self, row: RowMapping, *, with_fleet: bool) -> str:
        """One act."""
        act = ACTS.get(row["action"])
        about = _ABOUT.get(act.subject if act else "", _Told._as_it_stands)(self, row)
        name = self.fleets.get(row["fleet_id"], "")
        place = f" ({name})" if with_fleet and name and about != name else ""
        done = f"{words_of(row['action'])}: {about}" if about else words_of(row["action"])
        return f"{to_the_minute(row['at'])}  {row['who']}, {row['role']}, {done}{place}"

    def _fleet(self, row: RowMapping) -> str:
        return str(self.fleets.get(row["fleet_id"], row["subject"]))

    def _boat(self, row: RowMapping) -> str:
        """Entry number and name, and which inspection or what is waived."""
        boat_id, _, rest = row["subject"].partition(" ")
        here = entries.c.fleet_id == row["fleet_id"], entries.c.boat_id == boat_id
        boat = self._connection.execute(select(entries.c.entry_no, entries.c.boat_name).where(*here)).first()
        named = f"{boat.entry_no} {boat.boat_name}" if boat else f"{boat_id}, not in the list in force"
        number = self._connection.execute(
            select(inspections.c.number).where(inspections.c.id == rest)
        ).scalar()
        return f"{named}, {f'inspection {number}' if number else rest}" if rest else named

    def _list(self, row: RowMapping) -> str:
        return self._numbered(row["fleet_id"], row["subject"])

    def _job(self, row: RowMapping) -> str:
        """The list that a job was to read, and why it failed."""
        query = select(jobs.c.revision).where(jobs.c.id == row["subject"])
        number = self._connection.execute(query).scalar()
        named = self._numbered(row["fleet_id"], number) if number else ""
        reason = json.loads(row["after"]).get("reason", "")
        return f"{named}. {reason}" if named and reason else named or reason

    def _numbered(self, fleet_id: str, number: int | str) -> str:
        here = revisions.c.fleet_id == fleet_id, revisions.c.number == int(number)
        name = self._connection.execute(select(revisions.c.filename).where(*here)).scalar()
        return f"list {number}, {name}" if name else f"list {number}"

    def _made(self, row: RowMapping) -> str:
        """The list that site, order and papers were made of; nothing where the job alone is named."""
        return self._numbered(row["fleet_id"], row["subject"]) if row["subject"].isdecimal() else ""

    def _token(self, row: RowMapping) -> str:
        """Whose it is, as it was kept when it was made or revoked."""
        kept: Mapping[str, Any] = (json.loads(row["before"]) or {}) | (json.loads(row["after"]) or {})
        return f"{kept.get('label', '')} ({row['subject']})"

    def _as_it_stands(self, row: RowMapping) -> str:
        return str(row["subject"])


_ABOUT: Final[dict[str, Callable[[_Told, RowMapping], str]]] = {
    "the fleet": _Told._fleet,
    "boat and inspection": _Told._boat,
    "boat and waiver": _Told._boat,
    "boat and token": _Told._boat,
    "the boat": _Told._boat,
    "number of the list": _Told._list,
    "the job": _Told._job,
    "the list or the job": _Told._made,
    "the token": _Told._token,
}
