"""A season opened: its store brought to the form this program works with, and its secret."""

from __future__ import annotations

import secrets
from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy import Connection, insert, select

from api.settings import Settings
from api.storage.clock import now
from api.storage.migrate import is_made, upgrade
from api.storage.schema import season
from api.storage.store import Store, open_store
from api.trail import refuse_cut

SECRET_BYTES = 32


@contextmanager
def open_existing(settings: Settings) -> Iterator[Store | None]:
    """The store of the season in `settings`; None where there is none yet: asking makes none."""
    if not is_made(settings.url):
        yield None
        return
    with open_season(settings) as store:
        yield store


@contextmanager
def open_season(settings: Settings) -> Iterator[Store]:
    """The store of the season in `settings`, made where there is none, closed at the end."""
    store = open_store(settings.url)
    try:
        prepare(store, settings)
        yield store
    finally:
        store.close()


def prepare(store: Store, settings: Settings) -> None:
    """Bring the tables up to date, and give a new season its secret.

    Raises MusterError where the trail ends before what its anchors tell of.
    """
    upgrade(store)
    with store.read() as connection:
        refuse_cut(connection, settings.anchors)
        if connection.execute(select(season.c.id)).first() is not None:
            return

    def begin(connection: Connection) -> None:
        if connection.execute(select(season.c.id)).first() is None:
            made = {
                "id": f"s{secrets.token_hex(6)}", "secret": secrets.token_bytes(SECRET_BYTES), "rules": 0,
                "made_at": now(),
            }  # fmt: skip
            connection.execute(insert(season), made)

    store.write(begin)


def secret_of(connection: Connection) -> bytes:
    """The secret under which digests of private cells are made; it never leaves the store."""
    return bytes(connection.execute(select(season.c.secret)).scalar_one())
