"""What a server is started with, and the figures of the rally it works by."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field
from pathlib import Path

from sizing.drogue.strike_fleet import StrikePlan
from sizing.muster import RallyRules, load_rules


@dataclass(frozen=True)
class Limits:
    """How much one client may send, and how fast.

    `guesses` wrong tokens from one address within `guess_window_s` lock that address out for `lock_out_s`.
    `requests` is how many requests one token (without one, one address) may make within `request_window_s`.
    """

    upload_bytes: int = 32 * 1024 * 1024
    body_bytes: int = 64 * 1024
    body_seconds: float = 30.0
    guesses: int = 10
    guess_window_s: float = 60.0
    lock_out_s: float = 300.0
    requests: int = 600
    request_window_s: float = 60.0


@dataclass(frozen=True)
class Settings:
    """Where things are kept, and what the fleets are judged by.

    `folder` holds the database file (without `database_url`), the public sites, and the anchors of the trail.
    `strikes` is how much of the wave strike is simulated, None for nothing. `today` stands in for the day of
    the clock where a run has to be repeatable.
    """

    folder: Path
    database_url: str = ""
    policy: Path | None = None
    prices: Path | None = None
    catalogue: Path | None = None
    strikes: StrikePlan | None = field(default_factory=lambda: StrikePlan(samples=0, histories=False))
    cutting_seconds: float = 60.0
    limits: Limits = field(default_factory=Limits)
    today: dt.date | None = None

    @property
    def url(self) -> str:
        """Address of the database: the one given, else a file in the folder."""
        return self.database_url or f"sqlite:///{(self.folder / 'drogue-muster.sqlite').absolute()}"

    def site_of(self, fleet_id: str) -> Path:
        """Where the public site of a fleet is published; its releases stand beside it."""
        return self.folder / "sites" / fleet_id / "site"

    @property
    def anchors(self) -> Path:
        """File to which the head of the trail is written, apart from the database."""
        return self.folder / "trail-anchors.jsonl"

    def day(self) -> dt.date:
        """The day on which dates are judged."""
        return self.today or dt.date.today()

    def rules(self) -> RallyRules:
        """Read policy, price book and catalogue."""
        return load_rules(self.policy, self.prices, self.catalogue)
