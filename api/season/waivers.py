"""Waivers: a finding set aside for one boat by the officer until a date, or taken back."""

from __future__ import annotations

import datetime as dt
import secrets
from dataclasses import dataclass, replace

from sqlalchemy import Connection, RowMapping, insert, select, update

from api.judging.documents import BoatDocuments
from api.judging.run import waiver_of
from api.season.acting import Acting
from api.season.acts import WAIVED, WITHDREW_WAIVER, record
from api.season.errors import NotFound, Refused
from api.season.rejudging import Rejudged, Seen, judge_again, keep_judged, see
from api.storage.clock import now
from api.storage.schema import waivers
from api.storage.scrutiny import next_number, waiver_document


@dataclass(frozen=True)
class Waived:
    """A waiver as it is kept, and how the boat stands with it."""

    row: RowMapping
    judged: Rejudged


def give_waiver(
    acting: Acting,
    fleet_id: str,
    boat_id: str,
    *,
    check: str,
    reason: str,
    officer: str,
    until: dt.date,
    match: str | None = None,
) -> Waived:
    """Set a finding of a boat aside until a date. It changes no figure."""
    seen = see(acting, fleet_id, boat_id, match)
    where = f"waiver of {check} for entry {seen.boat.entry_no}"
    if any(waiver.check == check for waiver in seen.scrutiny.waivers):
        raise Refused(
            where, "it is waived already", "a finding without a waiver", "withdraw that waiver first",
            detail="This finding of the boat is waived already; withdraw that waiver first.",
        )  # fmt: skip
    waiver = waiver_of(seen.boat.entry_no, check, reason, officer, until)
    if waiver is None:
        raise Refused(
            where, "the rally's policy cannot hold it", "a waiver as the policy file takes it",
            "shorten the entry number",
            detail="The rally's policy cannot hold such a waiver; is the entry number too long?",
        )  # fmt: skip
    docs = judge_again(acting, seen, replace(seen.scrutiny, waivers=(*seen.scrutiny.waivers, waiver)))

    def write(connection: Connection) -> Waived:
        judged = keep_judged(connection, acting, seen, docs)
        number = next_number(connection, waivers, fleet_id)
        connection.execute(
            insert(waivers).values(
                id=f"w{secrets.token_hex(8)}", fleet_id=fleet_id, boat_id=boat_id, entry_no=waiver.entry_no,
                number=number, check_id=waiver.check, reason=waiver.reason, officer=waiver.officer,
                until=waiver.until.isoformat(), state="given", made_at=now(), made_by=acting.actor.name,
            )
        )  # fmt: skip
        record(
            connection, acting.actor, WAIVED, fleet_id, f"{boat_id} {waiver.check}",
            before=_standing(seen, docs, check), after=waiver.model_dump(mode="json"),
        )  # fmt: skip
        return Waived(the_waiver(connection, fleet_id, number), judged)

    return acting.write(write)


def withdraw_waiver(
    acting: Acting, fleet_id: str, number: int, reason: str, match: str | None = None
) -> Waived:
    """Take a waiver back: the finding counts again."""
    with acting.store.read() as connection:
        before = the_waiver(connection, fleet_id, number)
    seen = see(acting, fleet_id, before["boat_id"], match)
    rest = tuple(waiver for waiver in seen.scrutiny.waivers if waiver.check != before["check_id"])
    docs = judge_again(acting, seen, replace(seen.scrutiny, waivers=rest))

    def write(connection: Connection) -> Waived:
        row = the_waiver(connection, fleet_id, number)
        if row["state"] == "withdrawn":
            raise Refused(
                f"waiver {number}", "this waiver is withdrawn", "a waiver that counts",
                "see the list of waivers",
            )  # fmt: skip
        judged = keep_judged(connection, acting, seen, docs)
        connection.execute(
            update(waivers)
            .where(waivers.c.id == row["id"])
            .values(state="withdrawn", withdrawn_at=now(), withdrawn_by=acting.actor.name)
        )
        record(
            connection, acting.actor, WITHDREW_WAIVER, fleet_id, f"{seen.boat_id} {row['check_id']}",
            before=waiver_document(row), after={"state": "withdrawn", "reason": reason},
        )  # fmt: skip
        return Waived(the_waiver(connection, fleet_id, number), judged)

    return acting.write(write)


def the_waiver(connection: Connection, fleet_id: str, number: int) -> RowMapping:
    """The waiver of this number; NotFound where there is none."""
    here = waivers.c.fleet_id == fleet_id, waivers.c.number == number
    row = connection.execute(select(waivers).where(*here)).mappings().first()
    if row is None:
        raise NotFound(
            f"waiver {number}", "there is no waiver of this number", "the number of a waiver of the fleet",
            "see the list of waivers",
        )  # fmt: skip
    return row


def _standing(seen: Seen, docs: BoatDocuments, check: str) -> dict[str, str]:
    """What the waiver sets aside, as the engine says it in the note of the finding."""
    note = next((str(f["note"]) for f in docs.findings if f["check"] == check), "")
    return {"entry_no": seen.boat.entry_no, "check": check, "note": note}
