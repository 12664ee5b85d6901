"""A skipper's link: a token bound to her boat alone, one a boat, made by the officer, renewed and ended.

Its secret is shown once and kept nowhere (`api.signin.tokens`); whoever loses it is given another, and the
one before ends with that.
"""

from __future__ import annotations

import datetime as dt
import io
import secrets
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import segno
from sqlalchemy import ColumnElement, Connection, insert, select, update

from api.judging.identity import boat_id
from api.season.acts import ENDED_LINK, INVITED, record
from api.season.errors import NotFound, NotValid
from api.season.listed import ListedBoat, listed_boat
from api.season.lists import state_of
from api.season.tokens import LONGEST_DAYS
from api.signin.tokens import PREFIX, hash_of
from api.storage.clock import now, text_of
from api.storage.schema import tokens
from api.trail.chain import Actor
from sizing.chase.messages import message_names
from sizing.intake import read_fleet
from sizing.spreadsheet import csv_bytes, plain_text

DAYS: Final = 300
"""How long a link lasts where nothing else is said: a season."""
PAGE: Final = "/answer/"
MERGE: Final = "invitations.csv"


@dataclass(frozen=True)
class Link:
    """A boat's link; `secret` is what is told to nobody but her skipper."""

    boat: ListedBoat
    token_id: str
    secret: str
    expires_at: str
    replaced: tuple[str, ...] = ()

    def address(self, base: str) -> str:
        """Where it leads. What follows # is not sent to a server, and so stands in no log of one."""
        return f"{base.rstrip('/')}{PAGE}#{self.secret}"


def invite(
    connection: Connection, actor: Actor, fleet_id: str, boat: str, *, days: int = DAYS, called: str = ""
) -> Link:
    """Make a boat's link; those she had before end. NotFound for a boat that is not in the list in force."""
    listed = listed_boat(connection, fleet_id, boat, called)
    if not 1 <= days <= LONGEST_DAYS:
        raise NotValid("link, days", f"{days} days", f"1 to {LONGEST_DAYS} days", "choose a nearer end")
    ended = _end(connection, fleet_id, boat)
    secret = PREFIX + secrets.token_urlsafe(32)
    link = Link(
        listed, f"t{secrets.token_hex(6)}", secret,
        text_of(dt.datetime.now(dt.UTC) + dt.timedelta(days=days)), ended,
    )  # fmt: skip
    connection.execute(
        insert(tokens).values(
            id=link.token_id, sha256=hash_of(secret), label=f"skipper of {listed.entry_no}"[:80],
            role="skipper", fleet_id=fleet_id, boat_id=boat, created_at=now(), expires_at=link.expires_at,
        )
    )  # fmt: skip
    record(
        connection, actor, INVITED, fleet_id, f"{boat} {link.token_id}",
        before={"ended": list(ended)}, after={"expires_at": link.expires_at},
    )  # fmt: skip
    return link


def end_link(connection: Connection, actor: Actor, fleet_id: str, boat: str, called: str = "") -> list[str]:
    """End a boat's link at once; NotFound where she has none. What was answered by it stays."""
    ended = _end(connection, fleet_id, boat)
    if not ended:
        raise NotFound(
            f"link of entry {called}" if called else "link", "this boat has no link that counts",
            "a boat with a link", "look her up in the list of links",
        )  # fmt: skip
    after = {"ended": list(ended)}
    record(connection, actor, ENDED_LINK, fleet_id, f"{boat} {ended[0]}", after=after)
    return list(ended)


def boats_with_link(connection: Connection, fleet_id: str) -> dict[str, str]:
    """Boats that have a link which counts, with the day on which it ends."""
    query = select(tokens.c.boat_id, tokens.c.expires_at).where(*_counting(fleet_id))
    return {row.boat_id: row.expires_at[:10] for row in connection.execute(query)}


def _end(connection: Connection, fleet_id: str, boat: str) -> tuple[str, ...]:
    here = (*_counting(fleet_id), tokens.c.boat_id == boat)
    ended: Sequence[str] = connection.execute(select(tokens.c.id).where(*here)).scalars().all()
    connection.execute(update(tokens).where(tokens.c.id.in_(ended)).values(revoked_at=now()))
    return tuple(ended)


def _counting(fleet_id: str) -> tuple[ColumnElement[bool], ...]:
    return (
        tokens.c.fleet_id == fleet_id, tokens.c.role == "skipper", tokens.c.revoked_at.is_(None),
        tokens.c.expires_at > now(),
    )  # fmt: skip


def link_files(connection: Connection, fleet_id: str, links: Sequence[Link], base: str) -> dict[str, bytes]:
    """A table for a mail merge and a QR code of each link; with name and mail address of each skipper."""
    people = _people(connection, fleet_id)
    rows = []
    files = {}
    for link, stem in zip(links, message_names([link.boat.entry_no for link in links]), strict=True):
        skipper, email = people.get(link.boat.boat_id, ("", ""))
        at = link.address(base)
        told = (link.boat.entry_no, link.boat.boat_name, skipper, email)
        rows.append([*map(plain_text, told), at, link.expires_at[:10]])
        picture = io.BytesIO()
        segno.make_qr(at, error="m").save(picture, kind="svg", scale=4, border=4, title=link.boat.entry_no)
        files[f"link-{stem}.svg"] = picture.getvalue()
    return {MERGE: csv_bytes([("entry_no", "boat_name", "skipper", "email", "link", "ends"), *rows])} | files


def _people(connection: Connection, fleet_id: str) -> dict[str, tuple[str, str]]:
    """Name and mail address of each skipper, as the list in force has them."""
    kept = state_of(connection, fleet_id).in_force
    if kept is None:
        return {}
    day = dt.date.fromisoformat(kept.day) if kept.day else dt.date.today()
    text = read_fleet(kept.content, kept.filename, today=day).fleet.text
    columns = (text["entry_no"], text["skipper"], text["email"])
    return {
        boat_id(str(entry)): (str(skipper or ""), str(email or ""))
        for entry, skipper, email in zip(*columns, strict=True)
    }
