"""Telling that a private value changed without keeping it: digests under the officer's own key.

Without the key a digest cannot be tried against a list of likely names or numbers, so the key is kept in a
file of its own and never in the snapshot.
"""

from __future__ import annotations

import hashlib
import hmac
import os
import re
import secrets
from collections.abc import Iterable
from pathlib import Path
from typing import Final

from sizing.errors import OutputError

KEY_BYTES: Final = 32
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


def officer_key(path: Path) -> bytes:
    """Return the key kept in the file `path`, made on first use so that only its owner may read it.

    Raises
    ------
    OutputError
        the file cannot be read or made, or is not a key
    """
    try:
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    except FileExistsError:
        return read_key(path)
    except OSError as problem:
        raise _cannot(path, f"the key file cannot be made ({problem.strerror})") from problem
    key = secrets.token_bytes(KEY_BYTES)
    try:
        with os.fdopen(handle, "w", encoding="ascii") as file:
            file.write(key.hex() + "\n")
            file.flush()
            os.fsync(file.fileno())
    except OSError as problem:
        path.unlink(missing_ok=True)
        raise _cannot(path, f"the key file cannot be written ({problem.strerror})") from problem
    return key


def read_key(path: Path) -> bytes:
    """Return the key kept in the file `path`; OutputError if it cannot be read or is none."""
    try:
        with path.open("rb") as file:
            data = file.read(KEY_BYTES * 4)
        key = bytes.fromhex(data.decode("ascii").strip())
    except OSError as problem:
        raise _cannot(path, f"the key file cannot be read ({problem.strerror})") from problem
    except ValueError as problem:
        raise _cannot(path, "the file holds no key") from problem
    if len(key) != KEY_BYTES:
        raise _cannot(path, f"the file holds {len(key)} bytes")
    return key


def _cannot(path: Path, found: str) -> OutputError:
    return OutputError(
        f"key file {path.name}", found, f"{KEY_BYTES} bytes in hexadecimal, as the program writes them",
        "move the file away and run again; changes of contact details cannot be told in that one run",
    )  # fmt: skip
