"""Tokens: 256 random bits each, of which only the hash is kept."""

from __future__ import annotations

import datetime as dt
import hashlib
import re
import secrets
import threading
import time
from typing import Final

from sqlalchemy import Connection, bindparam, insert, select, update

from api.signin.roles import ROLES, Role, Token
from api.storage.clock import now, text_of
from api.storage.schema import fleets, tokens
from api.storage.store import Store
from api.trail.chain import PROGRAM, append
from sizing.errors import MusterError

PREFIX: Final = "dm_"
FORM: Final = re.compile(r"dm_[A-Za-z0-9_-]{43}")
LONGEST_DAYS: Final = 400
REMEMBERED_S: Final = 2.0
"""How long a token found good is taken without looking again: a revocation counts after this at most."""

_USE_NOTED_S: Final = 60.0
_MOST_REMEMBERED: Final = 2000
_FIND: Final = select(
    tokens.c.id, tokens.c.label, tokens.c.role, tokens.c.fleet_id, tokens.c.boat_id, tokens.c.expires_at,
    tokens.c.revoked_at,
).where(tokens.c.sha256 == bindparam("sha256"))  # fmt: skip


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
        "sha256": _hash(secret),
        "label": label,
        "role": chosen,
        "fleet_id": fleet_id,
        "boat_id": boat_id,
        "created_at": now(),
        "expires_at": text_of(dt.datetime.now(dt.UTC) + dt.timedelta(days=days)),
    }

    def write(connection: Connection) -> None:
        if (
            fleet_id
            and connection.execute(select(fleets.c.id).where(fleets.c.id == fleet_id)).first() is None
        ):
            raise MusterError("token, fleet", "there is no such fleet", "the id of a fleet",
                              "take the id from the list of fleets")  # fmt: skip
        connection.execute(insert(tokens).values(row))
        after = {k: row[k] for k in ("label", "role", "boat_id", "expires_at")}
        append(connection, PROGRAM, "token.made", fleet_id or "", str(row["id"]), after=after)

    store.write(write)
    return secret


def revoke_token(store: Store, token_id: str) -> bool:
    """End a token at once; False if it was revoked before. MusterError if there is none of this id."""

    def write(connection: Connection) -> bool:
        row = connection.execute(select(tokens).where(tokens.c.id == token_id)).first()
        if row is None:
            raise MusterError(
                "token", "there is none of this id", "the id of a token", "see the list of tokens"
            )
        if row.revoked_at is not None:
            return False
        connection.execute(update(tokens).where(tokens.c.id == token_id).values(revoked_at=now()))
        append(
            connection, PROGRAM, "token.revoked", row.fleet_id or "", token_id, before={"label": row.label}
        )
        return True

    return store.write(write)


def list_tokens(store: Store) -> list[dict[str, str | None]]:
    """All tokens without their hashes, newest first."""
    shown = [column for column in tokens.c if column.name != "sha256"]
    with store.read() as connection:
        rows = connection.execute(select(*shown).order_by(tokens.c.created_at.desc()))
        return [dict(row) for row in rows.mappings()]


class Tokens:
    """Finds tokens by their secret, remembers them for a moment, and notes their last use."""

    def __init__(self, store: Store) -> None:
        self._store = store
        self._known: dict[str, tuple[float, Token]] = {}
        self._noted: dict[str, float] = {}
        self._lock = threading.Lock()

    def find(self, secret: str) -> Token | None:
        """The token of this secret, None if there is none that counts now."""
        if not FORM.fullmatch(secret):
            return None
        digest = _hash(secret)
        clock = time.monotonic()
        known = self._known.get(digest)
        if known and clock - known[0] < REMEMBERED_S:
            return known[1]
        row = self._store.one(_FIND, {"sha256": digest})
        if row is None:
            return None
        token, revoked_at = Token(*row[:-1]), row[-1]
        if revoked_at is not None or token.expires_at <= now():
            self._known.pop(digest, None)
            return None
        with self._lock:
            if len(self._known) >= _MOST_REMEMBERED:
                self._known.clear()
            self._known[digest] = (clock, token)
        return token

    def has_ended(self, secret: str) -> bool:
        """Whether there was a token of this secret, which expired or was revoked."""
        return (
            FORM.fullmatch(secret) is not None
            and self._store.one(_FIND, {"sha256": _hash(secret)}) is not None
        )

    def use_to_note(self, token: Token) -> bool:
        """Whether the use of a token has to be written now; once a minute is enough."""
        clock = time.monotonic()
        with self._lock:
            if clock - self._noted.get(token.id, -_USE_NOTED_S) < _USE_NOTED_S:
                return False
            self._noted[token.id] = clock
            return True

    def note_use(self, token: Token) -> None:
        """Write when a token was last used."""
        self._store.write(
            lambda connection: connection.execute(
                update(tokens).where(tokens.c.id == token.id).values(last_used_at=now())
            )
        )


def _hash(secret: str) -> str:
    return hashlib.sha256(secret.encode("ascii")).hexdigest()


def _role(text: str) -> Role:
    for role in ROLES:
        if role == text:
            return role
    raise MusterError(
        "token, role", "there is no such role", f"one of {', '.join(ROLES)}", "choose one of them"
    )
