"""Tokens: 256 random bits each, of which only the hash is kept."""

from __future__ import annotations

import hashlib
import re
import threading
import time
from typing import Final

from sqlalchemy import bindparam, select, update

from api.signin.roles import Token
from api.storage.clock import now
from api.storage.schema import tokens
from api.storage.store import Store

PREFIX: Final = "dm_"
FORM: Final = re.compile(r"dm_[A-Za-z0-9_-]{43}")
REMEMBERED_S: Final = 2.0
"""How long a token found good is taken without looking again: a revocation counts after this at most."""

_USE_NOTED_S: Final = 60.0
_MOST_REMEMBERED: Final = 2000
_FIND: Final = select(
    tokens.c.id, tokens.c.label, tokens.c.role, tokens.c.fleet_id, tokens.c.boat_id, tokens.c.expires_at,
    tokens.c.revoked_at,
).where(tokens.c.sha256 == bindparam("sha256"))  # fmt: skip


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
        digest = hash_of(secret)
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
            and self._store.one(_FIND, {"sha256": hash_of(secret)}) is not None
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


def hash_of(secret: str) -> str:
    """What is kept of a secret."""
    return hashlib.sha256(secret.encode("ascii")).hexdigest()
