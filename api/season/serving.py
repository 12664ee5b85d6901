"""What a server does with a season when it opens it: rules it was given, answers that are not there yet."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from sqlalchemy import Connection, select

from api.jobs.queue import add_job, add_site_job
from api.output_folder import MADE_OF
from api.season.lists import has_ready_answers
from api.season.publishing import made_of
from api.season.rules import files_of, keep_rules, number_in_force, rules_of
from api.settings import Settings
from api.storage.schema import fleets, jobs, published, revisions
from api.storage.store import Store
from api.trail.chain import PROGRAM


def begin_serving(store: Store, settings: Settings) -> None:
    """Put the rules in force that the server was given, and have missing answers made.

    What an officer ran is there at once; of a list that was run for its tables alone, or judged by other
    rules than those in force now, the answers are made by a job, and so are outputs that are not there.
    """
    given = files_of(settings.policy, settings.prices, settings.catalogue)

    def write(connection: Connection) -> None:
        at = number_in_force(connection)
        wanted = rules_of(connection, at).with_files(given)
        if not at:
            wanted = replace(wanted, samples=settings.strike_samples)
        keep_rules(connection, PROGRAM, wanted)
        ask_for_answers(connection, PROGRAM.name)
        for fleet_id in _not_as_made(connection, settings.folder):
            add_site_job(connection, fleet_id, PROGRAM.name)

    store.write(write)


def _not_as_made(connection: Connection, folder: Path) -> list[str]:
    """Fleets whose outputs are not there, or are not those of what counts now.

    So it is after a restore, and where a process ended between keeping a list and putting its outputs in
    their place.
    """
    query = (
        select(fleets.c.id, fleets.c.folder, fleets.c.version.label("now"), *published.c)
        .outerjoin(published, published.c.fleet_id == fleets.c.id)
        .where(fleets.c.revision.is_not(None))
    )
    return [
        row.id
        for row in connection.execute(query)
        if row.version != row.now or _lying(folder / row.folder) != made_of(row)
    ]


def _lying(folder: Path) -> str | None:
    """Of what the outputs in a folder are; None where they are not whole."""
    try:
        return (folder / MADE_OF).read_text(encoding="utf-8") if (folder / "site").is_dir() else None
    except (OSError, ValueError):
        return None


def ask_for_answers(connection: Connection, by: str, but: str = "") -> None:
    """Queue the judging of every list in force that lacks answers, or has them by other rules.

    `but` names a fleet whose answers are of now. What waits already is not asked for twice.
    """
    at = number_in_force(connection)
    waiting = select(jobs.c.fleet_id, jobs.c.revision).where(
        jobs.c.state == "queued", jobs.c.kind == "assess"
    )
    asked = {(row.fleet_id, row.revision) for row in connection.execute(waiting)}
    query = select(fleets.c.id, fleets.c.revision, revisions.c.rules).join(
        revisions, (revisions.c.fleet_id == fleets.c.id) & (revisions.c.number == fleets.c.revision)
    )
    for row in connection.execute(query).all():
        if row.id == but or (row.id, row.revision) in asked:
            continue
        if row.rules != at or not has_ready_answers(connection, row.id):
            add_job(connection, row.id, "assess", by, row.revision)
