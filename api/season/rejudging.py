"""Judging one boat anew after something was recorded about her, and keeping it all in one transaction.

An act about a boat first sees her and judges her as she would be, with no lock held. Then it writes, in one
transaction that is refused where she is not as she was seen.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeVar

from sqlalchemy import Connection

from api.jobs.queue import add_site_job
from api.judging.documents import BoatDocuments
from api.judging.measured import Measured, MeasurementError
from api.judging.run import Scrutiny
from api.judging.sheet import BoatCells, notation_of
from api.season.acting import Acting
from api.season.errors import ChangedMeanwhile, NotFound, NotMeasurable, Refused
from api.season.lists import MovedOn
from api.season.rules import number_in_force
from api.storage.boats import KeptBoat, KeptResult, etag_of, keep_boat, kept_boat
from api.storage.scrutiny import next_version, scrutiny_of
from sizing.errors import PolicyError

Kept = TypeVar("Kept")


@dataclass(frozen=True)
class Seen:
    """A boat and what counts about her, as read before anything was changed."""

    fleet_id: str
    boat_id: str
    boat: KeptBoat
    scrutiny: Scrutiny


@dataclass(frozen=True)
class Rejudged:
    """What was kept: her new version, how she stands, and the job that brings the site after."""

    etag: str
    docs: BoatDocuments
    job: str


def see(acting: Acting, fleet_id: str, boat_id: str, match: str | None) -> Seen:
    """Read the boat; refused where there is none, or where she is not at the version named."""
    with acting.store.read() as connection:
        boat = the_boat(kept_boat(connection, fleet_id, boat_id))
        if match is not None:
            _refuse_changed(boat.etag, match)
        found = scrutiny_of(connection, fleet_id, boat_id)
    return Seen(fleet_id, boat_id, boat, found.get(boat_id, Scrutiny()))


def judge_again(
    acting: Acting, seen: Seen, scrutiny: Scrutiny, taken: Sequence[Measured] = ()
) -> BoatDocuments:
    """Run the engine over the boat with what would count then; nothing is kept. `taken` is what was sent."""
    try:
        return acting.engine.boat(
            notation_of(seen.boat.sheet), BoatCells.of(seen.boat.cells), scrutiny, acting.settings.day()
        )
    except MeasurementError as problem:
        raise not_measurable(problem, taken, "measurements") from None
    except PolicyError:
        raise Refused(
            f"entry {seen.boat.entry_no}", "the rally's policy does not allow this",
            "what the policy allows", "see the policy file",
        ) from None  # fmt: skip


def keep_judged(connection: Connection, acting: Acting, seen: Seen, docs: BoatDocuments) -> Rejudged:
    """Keep the new result, if the boat is still as she was seen, and ask for the site to follow.

    Raises MovedOn where she was judged by other rules than those in force by now.
    """
    fleet_id, boat_id, boat = seen.fleet_id, seen.boat_id, seen.boat
    _refuse_changed(the_boat(etag_of(connection, fleet_id, boat_id)), boat.etag)
    if number_in_force(connection) != acting.rules:
        raise MovedOn
    version = next_version(connection, fleet_id)
    kept = KeptResult(boat_id, boat.row, docs.document, docs.requirement, docs.findings, boat.cells)
    etag = keep_boat(connection, fleet_id, version, kept)
    job = add_site_job(connection, fleet_id, acting.actor.name, acting.settings.site_wait)
    return Rejudged(etag, docs, job)


def the_boat(boat: Kept | None) -> Kept:
    """The boat, or what is asked of her; NotFound where there is none."""
    if boat is None:
        raise NotFound(
            "boat", "the entry list in force has no such boat", "a boat of the list in force",
            "look her up in the list of boats",
        )  # fmt: skip
    return boat


def not_measurable(
    problem: MeasurementError, taken: Sequence[Measured] = (), where: str = ""
) -> NotMeasurable:
    """The refusal of measurements, each by its place; what was sent is not repeated."""
    places = {one.field: f"{where}.{at}" for at, one in enumerate(taken)}
    errors = [
        {
            "field": places.get(field, field),
            "code": code,
            "expected": expected,
            "mend": "" if "“" in mend else mend,
        }
        for field, code, expected, mend in problem.problems
    ]
    fields, _, expected, mends = zip(*problem.problems, strict=True)
    return NotMeasurable(
        ", ".join(fields), "it cannot be taken as it stands", "; ".join(expected), "; ".join(mends),
        detail="See errors. Nothing was kept.", errors=errors,
    )  # fmt: skip


def _refuse_changed(etag: str, match: str) -> None:
    if etag != match:
        raise ChangedMeanwhile("boat", "read the boat again, look at what changed, and send it anew", etag)
