"""Telling that a private value changed without keeping it: digests under the season's secret.

Without the key a digest cannot be tried against a list of likely names or numbers, so the key is never in
the snapshot.
"""

from __future__ import annotations

import hashlib
import hmac
import re
from collections.abc import Iterable
from typing import Final

NOT_KEPT: Final = "[not kept: may hold contact details]"
"""What stands in a snapshot in the place of free text that `may_tell_contact`."""
DIGEST_DIGITS: Final = 32
_SHORTEST_PRIVATE: Final = 4
_LIKE_PHONE: Final = re.compile(r"\+?[0-9](?:[ ()./-]{0,3}[0-9]){6,}")


class Sealer:
    """Makes digests under one key; with an empty key there are none, and `seal` gives ""."""

    def __init__(self, key: bytes) -> None:
        self._key = key

    @property
    def key_id(self) -> str:
        """Which key this is, without telling it; "" for none."""
        return self.seal("which key")[:12]

    def seal(self, *parts: str) -> str:
        """Return the digest of `parts` in this order (HMAC-SHA-256, 128 bits of it) [RFC 2104]."""
        if not self._key:
            return ""
        digest = hmac.new(self._key, digestmod=hashlib.sha256)
        for part in parts:
            data = part.encode("utf-8", "surrogatepass")
            digest.update(len(data).to_bytes(8, "big") + data)
        return digest.hexdigest()[:DIGEST_DIGITS]


def may_tell_contact(text: str, private: Iterable[str] = ()) -> bool:
    """Whether free text may hold contact details: an @, a run like a telephone number, a private value.

    It errs on the side of yes: such a text is kept as a digest only.

    >>> may_tell_contact("ring +00 000 0101"), may_tell_contact("Bow roller bent."), may_tell_contact("a@b")
    (True, False, True)
    """
    if "@" in text or "＠" in text or _LIKE_PHONE.search(text):
        return True
    plain = text.casefold()
    return any(
        value.strip().casefold() in plain for value in private if len(value.strip()) >= _SHORTEST_PRIVATE
    )
