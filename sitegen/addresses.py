"""Addresses of pages: safe in any file system and link, unique, and the same in every run."""

from __future__ import annotations

import hashlib
import hmac
import re
import secrets
from collections.abc import Collection, Iterable, Mapping, Sequence
from typing import Final

from sizing.entry_key import entry_key

SLUG_LENGTH: Final = 24
PRIVATE_DIGITS: Final = 40


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


def private_slug(key: bytes, entry_no: str) -> str:
    """Return an address that takes the season's key to work out: 160 bits of HMAC-SHA-256 [RFC 2104].

    The same from week to week, and another in each season.

    >>> private_slug(b"one season", "017") == private_slug(b"one season", " 017")
    True
    >>> private_slug(b"one season", "017") == private_slug(b"another", "017")
    False
    """
    said = b"private page\0" + entry_key(entry_no).encode("utf-8", "surrogatepass")
    return hmac.new(key, said, hashlib.sha256).hexdigest()[:PRIVATE_DIGITS]


def boat_slugs(entries: Sequence[str], private: Collection[int] = (), key: bytes = b"") -> tuple[str, ...]:
    """Return each boat's address part by row; `private` are rows whose addresses come from the season's key.

    Without a key a private boat's is drawn anew each time: better another address than one to be guessed.
    """
    plain, key = slugs(entries), key or secrets.token_bytes(32)
    return tuple(
        private_slug(key, entry) if row in private else plain[entry] for row, entry in enumerate(entries)
    )


def cuts_address(item_slug: str) -> str:
    """Return the cut list of one item of the order, relative to the site."""
    return f"cuts/{item_slug}.html"


def page_addresses(
    entries: Sequence[str], base: str, private: Collection[int] = (), key: bytes = b""
) -> Mapping[str, str]:
    """Return entry number -> address of her page, below `base` (a web address, or a folder's name).

    `private` and `key` are as for `boat_slugs`.

    >>> list(page_addresses(["017"], "site").values())
    ['site/boats/017-9309f67f.html']
    """
    made = zip(entries, boat_slugs(entries, private, key), strict=True)
    return {entry: f"{base.rstrip('/')}/{boat_address(slug)}" for entry, slug in made}
