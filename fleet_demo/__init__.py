"""An invented rally to try the program with: two entry lists, a policy and a price book.

Nothing in it is real: no rally, harbour, boat, design, person or chandlery. `story.md` beside this file says
which boat shows what, and which rows are refused and why.
"""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path

__all__ = ["fleet_csv", "policy_toml", "prices_csv", "second_fleet_csv", "story_md"]


def fleet_csv() -> Path:
    """Return the path of the entry list as the club first sent it.

    >>> fleet_csv().name
    'fleet.csv'
    """
    return _beside("fleet.csv")


def second_fleet_csv() -> Path:
    """Return the path of the same list one week later: boats entered, withdrawn and amended."""
    return _beside("fleet_second.csv")


def policy_toml() -> Path:
    """Return the path of the rally's policy file."""
    return _beside("rally.toml")


def prices_csv() -> Path:
    """Return the path of the price book of the rally's two suppliers."""
    return _beside("prices.csv")


def story_md() -> Path:
    """Return the path of the text that says what each boat shows."""
    return _beside("story.md")


def _beside(name: str) -> Path:
    return Path(str(files(__name__).joinpath(name)))
