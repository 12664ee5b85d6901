"""What a sheet says and nobody can read is no evidence: nor is what would stand in for a blank cell there.

A bridle's fibre that is left blank is taken from the line's; one that is written as nobody can read is not.
So every column that a check looks at counts, whichever of them it would have gone by.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType
from typing import Any, Final, TypeVar

import numpy as np

from sizing.audit.context import AuditContext
from sizing.audit.judge import Outcome, left_unproven
from sizing.audit.spec import CheckSpec
from sizing.fields import FIELDS
from sizing.model import FleetColumns

Column = TypeVar("Column")
COLUMN_OF: Final = MappingProxyType(
    {number: one.name for one in FIELDS for number in one.numbers}
    | {one.name: one.name for one in FIELDS if one.kind == "choice"}
)
"""Column of the sheet that each array of the fleet is read from."""
OF_THE_RIG: Final = frozenset(one.name for one in FIELDS if one.group in ("device", "line", "bridle"))
"""What the strike on the gear aboard is simulated from."""
WHETHER: Final = "device_type"
"""Tells whom the checks are about, and settles none but those that are about it."""


class Watched(Mapping[str, Column]):
    """Columns by name, and which of them were looked at."""

    def __init__(self, columns: Mapping[str, Column], seen: set[str]) -> None:
        self._columns, self._seen = columns, seen

    def __getitem__(self, name: str) -> Column:
        self._seen.add(COLUMN_OF[name])
        return self._columns[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self._columns)

    def __len__(self) -> int:
        return len(self._columns)


@dataclass(frozen=True)
class WatchedFleet(FleetColumns):
    """A fleet that notes in `seen` which of its columns were looked at."""

    seen: set[str] = field(default_factory=set)

    def __getattribute__(self, name: str) -> Any:
        if name == "section_diameters_m":
            super().__getattribute__("seen").add("section_diameters")
        return super().__getattribute__(name)


def not_read(context: AuditContext, spec: CheckSpec, outcome: Outcome) -> Outcome:
    """The outcome with nothing met where the sheet says what could not be read in a column looked at."""
    unread = context.fleet.unread
    if not unread:
        return outcome
    looked_at = _looked_at(context, spec) & set(unread)
    if not looked_at:
        return outcome
    columns = tuple(one.name for one in FIELDS if one.name in looked_at)
    mask = np.any([unread[name] for name in columns], axis=0)
    return replace(left_unproven(outcome, np.asarray(mask)), unread=np.asarray(mask), unread_in=columns)


def _looked_at(context: AuditContext, spec: CheckSpec) -> set[str]:
    seen: set[str] = set()
    own = {one: getattr(context.fleet, one) for one in FleetColumns.__dataclass_fields__}
    own |= {"number": Watched(own["number"], seen), "choice": Watched(own["choice"], seen)}
    fleet = WatchedFleet(**own, seen=seen)
    seen.clear()
    spec.judge(context.watched(fleet))
    return (seen - {WHETHER}) | set(spec.check.columns) | (OF_THE_RIG if spec.of_the == "strike" else set())
