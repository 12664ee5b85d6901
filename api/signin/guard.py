"""Limits on how fast is asked, and on how often a token is guessed. Kept in memory, by process."""

from __future__ import annotations

import threading
import time
from collections import OrderedDict, deque
from collections.abc import Callable
from typing import Final

from api.settings import Limits

_MOST_CALLERS: Final = 20_000


class LockedOut(Exception):  # noqa: N818  a state, told as a problem document
    """Too many wrong tokens came from one address."""

    def __init__(self, wait_s: float) -> None:
        self.wait_s = wait_s
        super().__init__("locked out")


class TooManyRequests(LockedOut):
    """One caller asks too fast."""


class Guard:
    """Counts wrong tokens by address and requests by caller."""

    def __init__(self, limits: Limits, clock: Callable[[], float] = time.monotonic) -> None:
        self._limits = limits
        self._clock = clock
        self._wrong: OrderedDict[str, deque[float]] = OrderedDict()
        self._until: dict[str, float] = {}
        self._counts: OrderedDict[str, tuple[float, int]] = OrderedDict()
        self._lock = threading.Lock()

    def refuse_locked(self, address: str) -> None:
        """Raise LockedOut while an address is locked out."""
        until = self._until.get(address)
        if until is None:
            return
        left = until - self._clock()
        if left > 0:
            raise LockedOut(left)
        with self._lock:
            self._until.pop(address, None)

    def wrong(self, address: str) -> None:
        """Count a wrong token; the last one allowed locks the address out."""
        now, limits = self._clock(), self._limits
        with self._lock:
            times = self._wrong.setdefault(address, deque())
            self._wrong.move_to_end(address)
            times.append(now)
            while times[0] < now - limits.guess_window_s:
                times.popleft()
            if len(times) >= limits.guesses:
                self._until[address] = now + limits.lock_out_s
                times.clear()
                del self._wrong[address]
            while len(self._wrong) > _MOST_CALLERS:
                self._wrong.popitem(last=False)

    def count(self, caller: str) -> None:
        """Count one request of a caller; TooManyRequests past the limit of the window."""
        now, limits = self._clock(), self._limits
        with self._lock:
            began, made = self._counts.get(caller, (now, 0))
            if now - began >= limits.request_window_s:
                began, made = now, 0
            if made >= limits.requests:
                raise TooManyRequests(began + limits.request_window_s - now)
            self._counts[caller] = (began, made + 1)
            if len(self._counts) > _MOST_CALLERS:
                self._counts.popitem(last=False)
