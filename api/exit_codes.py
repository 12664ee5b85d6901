"""How the program ends, for scripts that call it."""

from __future__ import annotations

from typing import Final

DONE: Final = 0
NOTHING_DONE: Final = 2
SOME_REJECTED: Final = 3
STOPPED: Final = 130

EXPLAINED: Final = (
    "Exit codes: 0 all rows accepted; 3 done, some rows rejected; 2 nothing could be done, and why."
)
