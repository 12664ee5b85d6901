"""The parts of an output, and which of them a run makes."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

TABLES, ORDER, PAPERS, SITE = _IN_ORDER = ("tables", "order", "papers", "site")
ALL: Final = frozenset(_IN_ORDER)


def parts_named(words: Iterable[str]) -> frozenset[str]:
    """The parts that words name, several in one separated by commas; all where there is no word.

    Raises ValueError, with a sentence, for a word that names none.

    >>> sorted(parts_named(["tables, site"]))
    ['site', 'tables']
    """
    named = [part.strip().lower() for word in words for part in word.split(",")]
    for part in named:
        if part not in ALL:
            raise ValueError(f"“{part}” is no part of the output; name one or more of {', '.join(_IN_ORDER)}")
    return frozenset(named) or ALL
