"""Counts of requests by method, kind of answer and time taken, in the text form that collectors read."""

from __future__ import annotations

import threading
from collections import Counter
from typing import Final

from starlette.types import Scope

BUCKETS: Final = (0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1.0, 2.5, 10.0)
_METHODS: Final = frozenset({"GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS"})


class Metrics:
    """Counts in memory, by process; nothing of a request but its method and status is kept."""

    def __init__(self) -> None:
        self._requests: Counter[tuple[str, int]] = Counter()
        self._times: Counter[int] = Counter()
        self._seconds = 0.0
        self._lock = threading.Lock()

    def count(self, scope: Scope, status: int, seconds: float) -> None:
        """Count one request; status 0 is one that was broken off."""
        method = scope["method"] if scope["method"] in _METHODS else "other"
        place = next((i for i, most in enumerate(BUCKETS) if seconds <= most), len(BUCKETS))
        with self._lock:
            self._requests[method, status] += 1
            self._times[place] += 1
            self._seconds += seconds

    def text(self, jobs: dict[str, int]) -> str:
        """All counts as text; `jobs` by state."""
        with self._lock:
            requests, times, seconds = dict(self._requests), dict(self._times), self._seconds
        lines = ["# HELP drogue_muster_requests_total Requests answered.",
                 "# TYPE drogue_muster_requests_total counter"]  # fmt: skip
        for (method, status), count in sorted(requests.items()):
            lines.append(f'drogue_muster_requests_total{{method="{method}",status="{status}"}} {count}')
        lines += ["# HELP drogue_muster_request_seconds Time from request to answer.",
                  "# TYPE drogue_muster_request_seconds histogram"]  # fmt: skip
        below = 0
        for place, most in enumerate(BUCKETS):
            below += times.get(place, 0)
            lines.append(f'drogue_muster_request_seconds_bucket{{le="{most}"}} {below}')
        total = sum(times.values())
        lines += [f'drogue_muster_request_seconds_bucket{{le="+Inf"}} {total}',
                  f"drogue_muster_request_seconds_sum {seconds:.6f}",
                  f"drogue_muster_request_seconds_count {total}",
                  "# HELP drogue_muster_jobs Jobs by state.", "# TYPE drogue_muster_jobs gauge"]  # fmt: skip
        lines += [f'drogue_muster_jobs{{state="{state}"}} {count}' for state, count in sorted(jobs.items())]
        return "\n".join(lines) + "\n"
