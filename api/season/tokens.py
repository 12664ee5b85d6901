"""Tokens: made for somebody who signs in, and revoked. Finding them by their secret is `api.signin`'s."""

from __future__ import annotations

import datetime as dt
import secrets
from typing import Final

from sqlalchemy import Connection, insert, select, update

from api.season.acts import MADE_TOKEN, REVOKED_TOKEN, record
from api.season.errors import NotFound
from api.season.fleets import fleet_version
from api.signin.roles import ROLES, Role
from api.signin.tokens import PREFIX, hash_of
from api.storage.clock import now, text_of
from api.storage.schema import tokens
from api.storage.store import Store
from api.trail.chain import PROGRAM
from sizing.errors import MusterError

LONGEST_DAYS: Final = 400


def make_token(
    store: Store,
    *,
    label: str,
    role: str,
    days: int,
    fleet_id: str | None = None,
    boat_id: str | None = None,
) -> str:
    """Make a token and return its secret, which is shown once and kept nowhere."""
    chosen = _role(role)
    label = " ".join(label.split())
    if not 1 <= len(label) <= 80 or not label.isprintable():
        found = f"it has {len(label)} characters" if label.isprintable() else "it holds a hidden character"
        raise MusterError("token, name", found, "1 to 80 plain characters",
                          "name the person who will hold the token")  # fmt: skip
    if not 1 <= days <= LONGEST_DAYS:
        raise MusterError("token, days", f"{days} days", f"1 to {LONGEST_DAYS} days", "choose a nearer end")
    if chosen == "skipper" and not (fleet_id and boat_id):
        raise MusterError("token, skipper", "no boat is named", "a fleet and an entry number",
                          "name the boat: a skipper sees one boat only")  # fmt: skip
    if boat_id and chosen != "skipper":
        raise MusterError("token, entry", f"the role {chosen} is not bound to one boat", "no entry number",
                          "leave it out, or make a token for a skipper")  # fmt: skip
    secret = PREFIX + secrets.token_urlsafe(32)
    row = {
        "id": f"t{secrets.token_hex(6)}",
        "sha256": hash_of(secret),
        "label": label,
        "role": chosen,
        "fleet_id": fleet_id,
        "boat_id": boat_id,
        "created_at": now(),
        "expires_at": text_of(dt.datetime.now(dt.UTC) + dt.timedelta(days=days)),
    }

    def write(connection: Connection) -> None:
        if fleet_id:
            fleet_version(connection, fleet_id)
        connection.execute(insert(tokens).values(row))
        after = {k: row[k] for k in ("label", "role", "boat_id", "expires_at")}
        record(connection, PROGRAM, MADE_TOKEN, fleet_id or "", str(row["id"]), after=after)

    store.write(write)
    return secret


def revoke_token(store: Store, token_id: str) -> bool:
    """End a token at once; False if it was revoked before. NotFound if there is none of this id."""

    def write(connection: Connection) -> bool:
        row = connection.execute(select(tokens).where(tokens.c.id == token_id)).first()
        if row is None:
            raise NotFound("token", "there is none of this id", "the id of a token", "see the list of tokens")
        if row.revoked_at is not None:
            return False
        connection.execute(update(tokens).where(tokens.c.id == token_id).values(revoked_at=now()))
        record(
            connection, PROGRAM, REVOKED_TOKEN, row.fleet_id or "", token_id,
            before={"label": row.label}, after={"state": "revoked"},
        )  # fmt: skip
        return True

    return store.write(write)


def _role(text: str) -> Role:
    for role in ROLES:
        if role == text:
            return role
    raise MusterError(
        "token, role", "there is no such role", f"one of {', '.join(ROLES)}", "choose one of them"
    )
