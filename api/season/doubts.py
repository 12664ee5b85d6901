"""Which of the skippers' answers their boats are not judged by, and why: for the officer to look at."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass

from sqlalchemy import Connection, select

from api.judging.answered import Answer
from api.judging.run import Scrutiny
from api.judging.sheet import notation_of
from api.season.reopening import reads_alike
from api.storage.boats import kept_boat
from api.storage.schema import inspections
from api.storage.scrutiny import scrutiny_of


@dataclass(frozen=True)
class Doubt:
    """An answer that does not count, and what stands in its place."""

    boat_id: str
    field: str
    number: int
    said: str
    sentence: str


def doubts_of(connection: Connection, fleet_id: str, day: dt.date) -> list[Doubt]:
    """Return every last answer that her boat is not judged by and that says something else."""
    found = []
    for boat, scrutiny in scrutiny_of(connection, fleet_id).items():
        if not scrutiny.answers:
            continue
        kept = kept_boat(connection, fleet_id, boat)
        cells: Mapping[str, str] = kept.cells["cells"] if kept else {}
        for name, answer in sorted(scrutiny.answers.items()):
            if answer.state != "said" or answer.counts(cells, scrutiny.found):
                continue
            sentence = _measured(connection, scrutiny, answer)
            if name not in scrutiny.found:
                sentence = (
                    f"The list now says “{cells.get(name, '').strip()}”, and said “{answer.listed}” when she "
                    "answered. The list counts."
                )
            elif kept and reads_alike(
                name, answer.text, scrutiny.found[name], notation_of(kept.sheet), day, answer.decimal
            ):
                continue
            found.append(
                Doubt(boat, name, answer.number, f"“{answer.text}”, answered on {answer.day}.", sentence)
            )
    return found


def _measured(connection: Connection, scrutiny: Scrutiny, answer: Answer) -> str:
    """What was measured of the column, and by whom."""
    measured = scrutiny.found.get(answer.field)
    if measured is None:
        return ""
    query = select(inspections.c.made_by, inspections.c.made_at)
    row = connection.execute(query.where(inspections.c.id == measured.inspection)).one()
    return f"Measured as “{measured.text}” by {row.made_by} on {row.made_at[:10]}. What was measured counts."
