"""How a boat is named in addresses: from her entry number, the same under every upload and every version."""

from __future__ import annotations

import hashlib
import re
from typing import Final

from sizing.entry_key import entry_key

_READABLE: Final = 24
_DIGITS: Final = 12


def boat_id(entry_no: str) -> str:
    """Return the id of the boat with this entry number; case and surrounding spaces do not count.

    Plain letters and digits of the number, so that it can be read, then a hash that tells like ones apart.
    Ids stand in databases: this rule is never changed.

    >>> boat_id(" A17 "), boat_id("a17") == boat_id("A17")
    ('a17-622dd0c704d6', True)
    """
    key = entry_key(entry_no)
    plain = re.sub(r"[^a-z0-9]+", "-", key)[:_READABLE].strip("-")
    digest = hashlib.sha256(key.encode("utf-8", "surrogatepass")).hexdigest()[:_DIGITS]
    return f"{plain}-{digest}" if plain else digest
