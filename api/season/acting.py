"""Who acts, and with what: all that an act is handed beside what it is about."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol, TypeVar

from sqlalchemy import Connection

from api.judging.run import Engine
from api.settings import Settings
from api.storage.store import Store
from api.trail import Actor

Result = TypeVar("Result")


class Transact(Protocol):
    """Runs what an act writes in one transaction, as `Store.write`; may do more in the same one."""

    def __call__(self, work: Callable[[Connection], Result], /) -> Result:
        """Run it whole, or not at all."""


@dataclass(frozen=True)
class Acting:
    """The actor, the rules that are judged by and their number, the season, and how it is written to."""

    actor: Actor
    store: Store
    engine: Engine
    rules: int
    settings: Settings
    write: Transact
