"""The time limit, read in one place."""

from __future__ import annotations

from time import monotonic


class Deadline:
    """A point in time after which every search stops and hands back the best it has."""

    def __init__(self, limit_s: float) -> None:
        self._end = monotonic() + limit_s
        self.hit = False

    def left_s(self) -> float:
        """Seconds left, never below 0."""
        return max(0.0, self._end - monotonic())

    def passed(self) -> bool:
        """True once the time is used up; remembered in `hit`."""
        self.hit = self.hit or monotonic() >= self._end
        return self.hit
