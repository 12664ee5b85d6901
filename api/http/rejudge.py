"""Judging one boat anew after something was recorded about her, and keeping it all in one transaction."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from sqlalchemy import Connection

from api.http.boats import not_measurable, the_boat
from api.http.context import Caller
from api.http.problems import Problem
from api.jobs.queue import add_site_job
from api.judging.measured import Measured, MeasurementError
from api.judging.run import Scrutiny
from api.judging.sheet import BoatCells, notation_of
from api.storage.boats import KeptBoat, KeptResult, etag_of, keep_boat, kept_boat
from api.storage.scrutiny import next_version, scrutiny_of
from sizing.errors import PolicyError


@dataclass(frozen=True)
class Seen:
    """A boat and what counts about her, as read before anything was changed."""

    boat: KeptBoat
    scrutiny: Scrutiny


@dataclass(frozen=True)
class Rejudged:
    """What was kept: her new ETag, how she stands, and the job that brings the site after."""

    etag: str
    result: KeptResult
    job: str

    @property
    def standing(self) -> dict[str, str | int]:
        """How she stands now, as every write about her is answered."""
        return {
            "boat_etag": self.etag,
            "open_shalls": self.result.document["open_shalls"],
            "open_shoulds": self.result.document["open_shoulds"],
            "site_job": self.job,
        }


def see(caller: Caller, fleet_id: str, boat_id: str, match: str) -> Seen:
    """Read the boat; a problem where there is none, or where she is not at the version named."""
    with caller.server.store.read() as connection:
        boat = the_boat(kept_boat(connection, fleet_id, boat_id))
        refuse_changed(boat.etag, match)
        found = scrutiny_of(connection, fleet_id, boat_id)
    return Seen(boat, found.get(boat_id, Scrutiny()))


def refuse_changed(etag: str, match: str) -> None:
    """A problem where the version named is not the present one."""
    if etag != match:
        raise Problem(
            "changed-meanwhile", "Read the boat again, look at what changed, and send it anew.",
            headers={"etag": etag},
        )  # fmt: skip


def judge_again(caller: Caller, seen: Seen, scrutiny: Scrutiny, taken: Sequence[Measured] = ()) -> KeptResult:
    """Run the engine over the boat with what would count then; nothing is kept. `taken` is what was sent."""
    server, boat = caller.server, seen.boat
    try:
        docs = server.engine.boat(
            notation_of(boat.sheet), BoatCells.of(boat.cells), scrutiny, server.settings.day()
        )
    except MeasurementError as problem:
        raise not_measurable(problem, taken, "measurements") from None
    except PolicyError:
        raise Problem("conflict", "The rally's policy does not allow this.") from None
    kept = KeptResult(boat.boat_id, boat.row, docs.document, docs.requirement, docs.findings, boat.cells)
    return kept.encoded()


def keep_judged(
    connection: Connection, caller: Caller, fleet_id: str, seen: Seen, result: KeptResult
) -> Rejudged:
    """Keep the new result, if the boat is still as she was seen, and ask for the site to follow."""
    refuse_changed(the_boat(etag_of(connection, fleet_id, seen.boat.boat_id)), seen.boat.etag)
    etag = keep_boat(connection, fleet_id, next_version(connection, fleet_id), result)
    job = add_site_job(connection, fleet_id, caller.token.label, caller.server.settings.site_wait)
    return Rejudged(etag, result, job)


def with_inspection(seen: Seen, inspection: str, taken: Sequence[Measured]) -> Scrutiny:
    """What counts once one more inspection is recorded."""
    recorded = tuple(replace(one, inspection=inspection) for one in taken)
    return replace(seen.scrutiny, measurements=(*seen.scrutiny.measurements, recorded))


def with_figures(taken: Sequence[Measured], result: KeptResult) -> list[dict[str, Any]]:
    """What was measured, on its way into the tables, with the figure that was read where it is one."""
    figures = {one["field"]: one["value"] for one in result.document["measures"]}
    values = {name: figure["si"] if figure else None for name, figure in figures.items()}
    return [replace(one, si=values[one.field]).as_json() for one in taken]
