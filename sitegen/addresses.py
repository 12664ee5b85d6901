"""Addresses of pages: safe in any file system and link, unique, and the same in every run."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterable, Mapping, Sequence
from typing import Final

SLUG_LENGTH: Final = 24


def slug(text: str, *, digits: int = 8) -> str:
    """Return an address for `text`: its plain letters and digits, then a short hash that tells like apart.

    >>> slug("017")
    '017-9309f67f'
    >>> slug("../../etc/passwd").startswith("etc-passwd-")
    True
    """
    plain = re.sub(r"[^a-z0-9]+", "-", text.lower())[: SLUG_LENGTH * 4].strip("-")[:SLUG_LENGTH].strip("-")
    digest = hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()[:digits]
    return f"{plain}-{digest}" if plain else digest


def slugs(texts: Iterable[str]) -> Mapping[str, str]:
    """Return text -> address for all `texts`, with a longer hash where two would be the same.

    >>> list(slugs(["A 1", "a-1"]).values())[0] == list(slugs(["A 1"]).values())[0]
    True
    """
    made: dict[str, str] = {}
    taken: set[str] = set()
    for text in texts:
        if text in made:
            continue
        digits, address = 8, slug(text)
        while address in taken:
            digits += 8
            address = slug(text, digits=digits)
        made[text] = address
        taken.add(address)
    return made


def boat_address(boat_slug: str) -> str:
    """Return a boat's page, relative to the site."""
    return f"boats/{boat_slug}.html"


def sheet_address(pontoon_slug: str) -> str:
    """Return a scrutineer's sheet, relative to the site."""
    return f"sheets/{pontoon_slug}.html"


def cuts_address(item_slug: str) -> str:
    """Return the cut list of one item of the order, relative to the site."""
    return f"cuts/{item_slug}.html"


def pontoon_of(berth: str) -> str:
    """Return the pontoon of a berth: what stands before its number.

    >>> pontoon_of("B12"), pontoon_of("North wall 3"), pontoon_of("")
    ('B', 'North wall', '')
    """
    head = re.match(r"[^0-9]*", berth.strip())
    name = head.group().strip(" -/.,#") if head else ""
    return name or berth.strip()


def page_addresses(entries: Sequence[str], base: str) -> Mapping[str, str]:
    """Return entry number -> address of her page, below `base` (a web address, or a folder's name).

    >>> list(page_addresses(["017"], "site").values())
    ['site/boats/017-9309f67f.html']
    """
    made = slugs(entries)
    return {entry: f"{base.rstrip('/')}/{boat_address(made[entry])}" for entry in entries}
