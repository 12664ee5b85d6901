"""How fast one caller may ask. Kept in memory, by process: several processes allow several times as much."""

from __future__ import annotations

import threading
import time
from collections import OrderedDict
from collections.abc import Callable
from typing import Final

from api.settings import Limits

_MOST_CALLERS: Final = 20_000


class LockedOut(Exception):  # noqa: N818  a state, answered as a problem document
    """Too many wrong tokens came from one address."""

    def __init__(self, wait_s: float) -> None:
        self.wait_s = wait_s
        super().__init__("locked out")


class TooManyRequests(LockedOut):
    """One caller asks too fast."""


class RateLimit:
    """Counts requests by caller."""

    def __init__(self, limits: Limits, clock: Callable[[], float] = time.monotonic) -> None:
        self._limits = limits
        self._clock = clock
        self._counts: OrderedDict[str, tuple[float, int]] = OrderedDict()
        self._lock = threading.Lock()

    def count(self, caller: str, *, by_link: bool = False) -> None:
        """Count one request of a caller; TooManyRequests past the limit of the window.

        A skipper's link is passed on more easily than a token: `by_link` it may ask less often.
        """
        now, limits = self._clock(), self._limits
        with self._lock:
            began, made = self._counts.get(caller, (now, 0))
            if now - began >= limits.request_window_s:
                began, made = now, 0
            if made >= (limits.link_requests if by_link else limits.requests):
                raise TooManyRequests(began + limits.request_window_s - now)
            self._counts[caller] = (began, made + 1)
            if len(self._counts) > _MOST_CALLERS:
                self._counts.popitem(last=False)
