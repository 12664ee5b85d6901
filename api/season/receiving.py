"""Lists as they are handed in: kept whole, before anything of them is read."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from functools import cached_property
from typing import Final

from sqlalchemy import Connection, func, insert, select

from api.jobs.queue import add_job
from api.season.acts import RECEIVED_LIST, record
from api.season.errors import ChangedMeanwhile
from api.season.fleets import fleet_version
from api.storage.clock import now
from api.storage.packing import packed
from api.storage.schema import revisions
from api.trail import Actor

CSV: Final = "text/csv"
XLSX: Final = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


@dataclass(frozen=True)
class HandedIn:
    """A list as it was handed in; with `withdraw`, the boats that it leaves out have withdrawn."""

    filename: str
    media_type: str
    content: bytes
    withdraw: bool = False

    @cached_property
    def sha256(self) -> str:
        """Hash of the file."""
        return hashlib.sha256(self.content).hexdigest()

    @cached_property
    def packed(self) -> bytes:
        """The file as it is kept."""
        return packed(self.content)

    def made_ready(self) -> HandedIn:
        """The same with all worked out that takes long, so that no lock waits for it."""
        assert self.packed
        assert self.sha256
        return self


def receive_list(
    connection: Connection, actor: Actor, fleet_id: str, handed: HandedIn, match: str | None = None
) -> int:
    """Keep a list whole; returns its number. Refused where the fleet is not at the version named."""
    version = fleet_version(connection, fleet_id)
    if match is not None and match != f'"{version}"':
        raise ChangedMeanwhile("fleet", "read the fleet again before uploading", f'"{version}"')
    last = connection.execute(
        select(func.max(revisions.c.number)).where(revisions.c.fleet_id == fleet_id)
    ).scalar()
    number = int(last or 0) + 1
    connection.execute(
        insert(revisions).values(
            fleet_id=fleet_id, number=number, filename=handed.filename, media_type=handed.media_type,
            sha256=handed.sha256, size=len(handed.content), content=handed.packed, state="received",
            reason="", report="{}", uploaded_at=now(), uploaded_by=actor.name,
            withdraw=int(handed.withdraw), problem="",
        )
    )  # fmt: skip
    after = {"size": len(handed.content), "filename": handed.filename, "withdraw": handed.withdraw}
    record(connection, actor, RECEIVED_LIST, fleet_id, str(number), after=after, did=handed.content)
    return number


def receive_to_read(
    connection: Connection, actor: Actor, fleet_id: str, handed: HandedIn, match: str
) -> tuple[int, str]:
    """Keep a list whole, and queue the job that reads it; returns its number and the job's id."""
    number = receive_list(connection, actor, fleet_id, handed, match)
    return number, add_job(connection, fleet_id, "assess", actor.name, number)
