"""File names of messages: the entry number where it is a plain one, safe on every file system where not."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterable, Mapping
from typing import Final

ABOUT: Final = "read-me-first"
_PLAIN: Final = re.compile(r"[a-z0-9](?:[a-z0-9_-]{0,30}[a-z0-9])?")
_DEVICES: Final = re.compile(r"con|prn|aux|nul|com[0-9]|lpt[0-9]")
_LONGEST: Final = 24


def message_names(entry_nos: Iterable[str]) -> Mapping[str, str]:
    """Return entry number -> file name, no two alike even without regard to case.

    A number of plain letters, digits, - and _ is its own name, in lower case; any other keeps what is plain
    of it and gets a mark worked out from the whole number, so that every run gives it the same name.

    >>> dict(message_names(["017", "../../quay"]))
    {'017': '017.txt', '../../quay': 'quay-33ae2b82.txt'}
    """
    made: dict[str, str] = {}
    taken = {ABOUT}
    for entry_no in dict.fromkeys(entry_nos):
        stem, digits = entry_no.lower(), 8
        if not _PLAIN.fullmatch(stem) or _DEVICES.fullmatch(stem):
            stem = _marked(entry_no, digits)
        while stem in taken:
            stem, digits = _marked(entry_no, digits), digits + 8
        made[entry_no] = f"{stem}.txt"
        taken.add(stem)
    return made


def _marked(entry_no: str, digits: int) -> str:
    plain = re.sub(r"[^a-z0-9]+", "-", entry_no.lower()[: _LONGEST * 4]).strip("-")[:_LONGEST].strip("-")
    mark = hashlib.sha256(entry_no.encode("utf-8", "surrogatepass")).hexdigest()[:digits]
    return f"{plain or 'entry'}-{mark}"
