"""Guessing at tokens: counted by address in the database, for every process and over a restart.

An address that sent too many wrong tokens is locked out for a while: its wrong tokens are refused with a time
to wait, and cost one look in memory. A token that counts is taken from there all the same. On a dock all
phones share one address, and whoever is on the marina's network could otherwise stop an inspection day; and
what makes guessing hopeless is the token itself, of 256 random bits, not the count: a thousand million
guesses a second for a hundred years try 3e18 of 1e77.

Only wrong tokens write. One address writes no more than `Limits.guesses` times and once a process between
two locks, a process writes one guess at a time, rows end by themselves, and there are at most `MOST_ROWS`.
"""

from __future__ import annotations

import hashlib
import ipaddress
import logging
import time
from collections.abc import Callable
from typing import Final

from sqlalchemy import Connection, delete, func, insert, select, update

from api.settings import Limits
from api.signin.rate_limit import LockedOut
from api.storage.schema import guesses
from api.storage.store import Store

MOST_ROWS: Final = 5_000
_MOST_REMEMBERED: Final = 5_000
_NETWORK_BITS: Final = 64
_log: Final = logging.getLogger(__name__)


class Guesses:
    """Counts wrong tokens by address; the clock is that of the day, since processes share what it says."""

    def __init__(self, store: Store, limits: Limits, clock: Callable[[], float] = time.time) -> None:
        self._store, self._limits, self._clock = store, limits, clock
        self._until: dict[str, float] = {}

    def refuse_locked(self, address: str) -> None:
        """Raise LockedOut while this process knows that the address is locked out, without the database."""
        source = source_of(address)
        left = self._until.get(source, 0.0) - self._clock()
        if left > 0:
            raise LockedOut(left)
        self._until.pop(source, None)

    def wrong(self, address: str) -> None:
        """Count a wrong token; LockedOut if the address is locked out. The last one allowed locks it."""
        self.refuse_locked(address)  # several may have waited for their turn
        source, now = source_of(address), self._clock()
        until, locks = self._store.write(lambda connection: self._count(connection, source, now))
        if until <= now:
            return
        if len(self._until) >= _MOST_REMEMBERED:
            self._until.clear()  # the database knows them
        self._until[source] = until
        if not locks:
            raise LockedOut(until - now)
        _log.warning(
            "an address is locked out for %.0f s after %d wrong tokens",
            self._limits.lock_out_s, self._limits.guesses,
        )  # fmt: skip

    def _count(self, connection: Connection, source: str, now: float) -> tuple[float, bool]:
        """Until when the source is locked (0 if it is not), and whether this very guess locks it."""
        limits = self._limits
        connection.execute(delete(guesses).where(guesses.c.forget_at <= now))
        here = guesses.c.source == source
        row = connection.execute(select(guesses).where(here)).first()
        if row is None:
            _make_room(connection)
            connection.execute(
                insert(guesses).values(
                    source=source, wrong=0, forget_at=now + limits.guess_window_s, locked=0
                )
            )
        elif row.locked:
            return row.forget_at, False
        made = (row.wrong if row is not None else 0) + 1
        if made < limits.guesses:
            connection.execute(update(guesses).where(here).values(wrong=made))
            return 0.0, False
        until = now + limits.lock_out_s
        connection.execute(update(guesses).where(here).values(wrong=made, locked=1, forget_at=until))
        return until, True


def source_of(address: str) -> str:
    """What is counted as one source: the address, of IPv6 its network, which one subscriber has whole.

    Hashed, so that rows are short and hold no address.

    >>> source_of("2001:db8::1") == source_of("2001:db8::ffff:2") != source_of("2001:db8:0:1::1")
    True
    >>> source_of("::ffff:192.0.2.7") == source_of("192.0.2.7") != source_of("192.0.2.8")
    True
    """
    try:
        read = ipaddress.ip_address(address.partition("%")[0])
    except ValueError:
        text = address
    else:
        if isinstance(read, ipaddress.IPv6Address) and read.ipv4_mapped is not None:
            read = read.ipv4_mapped
        text = str(read)
        if isinstance(read, ipaddress.IPv6Address):
            text = str(ipaddress.ip_network((read, _NETWORK_BITS), strict=False))
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()


def _make_room(connection: Connection) -> None:
    """Keep the table short: what would be forgotten soonest goes, counts before locks."""
    over = connection.execute(select(func.count()).select_from(guesses)).scalar_one() - MOST_ROWS + 1
    if over > 0:
        order = guesses.c.locked, guesses.c.forget_at
        gone = connection.execute(select(guesses.c.source).order_by(*order).limit(over)).scalars().all()
        connection.execute(delete(guesses).where(guesses.c.source.in_(gone)))
