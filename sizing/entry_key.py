"""When two entry numbers are one: the only place that says so."""

from __future__ import annotations


def entry_key(entry_no: str) -> str:
    """Return an entry number as it is compared everywhere: without case and surrounding spaces.

    Ids of boats are made of it and stand in databases: this rule is never changed.

    >>> entry_key(" A17 ") == entry_key("a17")
    True
    """
    return entry_no.strip().casefold()
