"""The engine for the rules in force: made once for each of them, and anew when they change."""

from __future__ import annotations

import threading
from dataclasses import dataclass

from sqlalchemy import Connection, select

from api.judging.run import Engine
from api.season.rules import SeasonRules, rules_of
from api.settings import Settings
from api.storage.schema import season
from api.storage.store import Store

_NUMBER = select(season.c.rules)


@dataclass(frozen=True)
class InForce:
    """Rules by their number, as kept and as the engine works with them."""

    number: int
    rules: SeasonRules
    engine: Engine


class Engines:
    """Gives the engine that counts now; a store that another process changes rules in is asked each time."""

    def __init__(self, store: Store, settings: Settings) -> None:
        self._store, self._settings = store, settings
        self._lock = threading.Lock()
        self._known: InForce | None = None

    def in_force(self) -> InForce:
        """The rules in force with their engine."""
        row = self._store.one(_NUMBER, {})
        number = int(row[0]) if row else 0
        with self._lock:
            if self._known is None or self._known.number != number:
                with self._store.read() as connection:
                    self._known = self._made(connection, number)
            return self._known

    def _made(self, connection: Connection, number: int) -> InForce:
        rules = rules_of(connection, number)
        return InForce(number, rules, Engine.by(rules.load(), self._settings.with_samples(rules.samples)))
