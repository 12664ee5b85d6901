"""What a server is started with, and the figures of the rally it works by."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING

from sizing.samples import STRIKE_SAMPLES

if TYPE_CHECKING:  # commands about the data alone must not wait for the engine
    from sizing.drogue.strike_fleet import StrikePlan
    from sizing.story import RallyRules


@dataclass(frozen=True)
class Limits:
    """How much one client may send, and how fast.

    An upload has at most `upload_bytes`; a workbook among them unpacks to at most `unpacked_bytes`, which is
    about ninety thousand boats of forty columns.
    `guesses` wrong tokens from one address within `guess_window_s` lock that address out for `lock_out_s`.
    `requests` is how many requests one token (without one, one address) may make within `request_window_s` of
    one process, `link_requests` how many a skipper's; `requests_at_once` how many of all clients one process
    answers at the same time. A body has to be there after `body_seconds`, an upload after twenty times as
    long. Clients that send a head, or take an answer, slowly are for the reverse proxy in front to bound.
    """

    upload_bytes: int = 32 * 1024 * 1024
    unpacked_bytes: int = 128_000_000
    body_bytes: int = 64 * 1024
    body_seconds: float = 30.0
    guesses: int = 10
    guess_window_s: float = 60.0
    lock_out_s: float = 300.0
    requests: int = 600
    link_requests: int = 120
    request_window_s: float = 60.0
    requests_at_once: int = 500


@dataclass(frozen=True)
class Wait:
    """A job is due once nobody has asked for it for `quiet_s`, and `most_s` after it was first asked for."""

    quiet_s: float = 2.0
    most_s: float = 15.0


@dataclass(frozen=True)
class Settings:
    """Where things are kept, and what the fleets are judged by.

    `folder` is the output folder: it holds the season's file (without `database_url`), what is made of the
    season, and the anchors of the trail. `policy`, `prices` and `catalogue` are put in force at the start,
    where they are given. `strike_samples` is how many wave strikes a boat are sampled beside the one of the
    rules, None for no strike at all, in a season that does not say so yet. `today` stands in for the
    day of the clock where a run has to be repeatable. `site_wait` is how long a site waits for further
    inspections before it is made. A job that is not done `stop_seconds` after the server was told to stop is
    broken off, and begun anew when the server is. `job_niceness` is by how much jobs give way to other
    processes (Unix).
    """

    folder: Path
    database_url: str = ""
    policy: Path | None = None
    prices: Path | None = None
    catalogue: Path | None = None
    strike_samples: int | None = STRIKE_SAMPLES
    cutting_seconds: float = 60.0
    limits: Limits = field(default_factory=Limits)
    site_wait: Wait = field(default_factory=Wait)
    stop_seconds: float = 20.0
    job_niceness: int = 10
    today: dt.date | None = None

    @property
    def url(self) -> str:
        """Address of the database: the one given, else a file in the folder."""
        return self.database_url or f"sqlite:///{(self.folder / 'season.sqlite').absolute()}"

    def with_samples(self, samples: int | None) -> Settings:
        """The same with another number of strikes a boat."""
        return replace(self, strike_samples=samples)

    @property
    def anchors(self) -> Path:
        """File to which the head of the trail is written, apart from the database."""
        return self.folder / "trail-anchors.jsonl"

    def day(self) -> dt.date:
        """The day on which dates are judged."""
        return self.today or dt.date.today()

    @property
    def strikes(self) -> StrikePlan | None:
        """How much of the wave strike is simulated."""
        from sizing.drogue.strike_fleet import StrikePlan  # noqa: PLC0415  see above

        return None if self.strike_samples is None else StrikePlan(self.strike_samples, histories=False)

    def rules(self) -> RallyRules:
        """Read policy, price book and catalogue."""
        from sizing.story import load_rules  # noqa: PLC0415  see above

        return load_rules(self.policy, self.prices, self.catalogue)
