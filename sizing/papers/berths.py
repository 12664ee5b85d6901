"""Boats as a scrutineer walks to them: by pontoon and berth, or by the dozen where no berth is given."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from sizing.revision.natural import natural_key

LETTERS: Final = 3
"""Longest name of a pontoon that does not say itself what it is: "A", but not "quay wall"."""
MOST_OF_A_PONTOON: Final = 48
MOST_WITHOUT_BERTH: Final = 12


@dataclass(frozen=True)
class Part:
    """Boats whose sheets lie together, in the order in which they are walked to."""

    title: str
    rows: tuple[int, ...]


def parts_by_berth(berths: Mapping[int, str], entries: Mapping[int, str]) -> tuple[Part, ...]:
    """Return all boats in parts: pontoons by name, berths as people count, the boats without one last.

    `berths` and `entries` are by row. A pontoon of many boats has several parts.

    >>> [part.title for part in parts_by_berth({0: "B2", 1: "", 2: "A1"}, {0: "1", 1: "2", 2: "3"})]
    ['Pontoon A', 'Pontoon B', 'No berth given']
    """
    groups: dict[str, list[int]] = defaultdict(list)
    for row in sorted(berths, key=lambda row: (natural_key(berths[row]), natural_key(entries[row]))):
        groups[pontoon_of(berths[row])].append(row)
    parts = []
    for name, rows in sorted(groups.items(), key=lambda item: (not item[0], natural_key(item[0]))):
        most = MOST_OF_A_PONTOON if name else MOST_WITHOUT_BERTH
        dealt = [tuple(rows[start : start + most]) for start in range(0, len(rows), most)]
        for at, some in enumerate(dealt, 1):
            title = berths_title(name)
            parts.append(Part(f"{title}, part {at} of {len(dealt)}" if len(dealt) > 1 else title, some))
    return tuple(parts)


def pontoon_of(berth: str) -> str:
    """Return the pontoon of a berth: what stands before its number.

    >>> pontoon_of("B12"), pontoon_of("North wall 3"), pontoon_of("")
    ('B', 'North wall', '')
    """
    head = re.match(r"[^0-9]*", berth.strip())
    name = head.group().strip(" -/.,#") if head else ""
    return name or berth.strip()


def berths_title(pontoon: str) -> str:
    """Return what the boats of one pontoon are called together.

    >>> berths_title("B"), berths_title("quay wall"), berths_title("")
    ('Pontoon B', 'quay wall', 'No berth given')
    """
    if not pontoon:
        return "No berth given"
    return f"Pontoon {pontoon}" if len(pontoon) <= LETTERS else pontoon
