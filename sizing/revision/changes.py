"""What changed between two runs: a small frozen tree that text, table and site are made from."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from sizing.model import Level, Standing
from sizing.revision.snapshot import Stamp
from sizing.units import both
from sizing.words import level_words, standing_words

Cause = Literal["entry", "rules", "waiver", "day", "run"]
"""What can have made a difference: her entry, the rules the fleet is judged by, a waiver, the day she is
judged for; "run" where none of these changed (another boat's entry, settings of the run)."""

BoatKind = Literal[
    "entered", "withdrawn", "put right", "now rejected", "rejected", "rejected row gone", "still rejected",
    "amended", "judged anew",
]  # fmt: skip
AmendmentKind = Literal["amended", "rewritten", "reread", "private"]
FindingKind = Literal[
    "opened", "reopened", "closed", "waived", "no longer applies", "not judged", "still open", "other"
]


@dataclass(frozen=True)
class RuleChange:
    """One rule, table or circumstance of the run that is not what it was; texts, "" where there is none."""

    id: str
    words: str
    before: str
    after: str


@dataclass(frozen=True)
class Amendment:
    """One cell of a boat's row.

    "rewritten" is another spelling of the same value, "reread" the same text with another value (another
    unit in the header). A "private" cell only says that it changed: `before` and `after` are blank.
    """

    id: str
    field: str
    kind: AmendmentKind
    before: str
    after: str


@dataclass(frozen=True)
class NeedChange:
    """One figure (SI) or catalogue id of what a boat needs; None where there is none."""

    id: str
    name: str
    before: float | str | None
    after: float | str | None
    dimension: str
    causes: tuple[Cause, ...]

    def shown(self, value: float | str | None) -> str:
        """Return `before` or `after` as text, in both systems."""
        if isinstance(value, float):
            return both(value, self.dimension)
        return value or "(none)"


@dataclass(frozen=True)
class Judged:
    """How a boat stands on one check in one run."""

    standing: Standing
    level: Level
    required: float | None
    found: float | None


@dataclass(frozen=True)
class FindingChange:
    """One check on one boat; `before` or `after` is None where the check was not judged in that run."""

    id: str
    check: str
    dimension: str
    kind: FindingKind
    before: Judged | None
    after: Judged | None
    causes: tuple[Cause, ...]

    @property
    def level(self) -> Level:
        """How much it counts, as of the later run that judged it."""
        judged = self.after or self.before
        return judged.level if judged else "shall"

    def shown(self, judged: Judged | None) -> str:
        """Return `before` or `after` as text: standing, level where it changed, figures in both systems."""
        if judged is None:
            return "not judged"
        words = standing_words(judged.standing, "officer")
        if self.before and self.after and self.before.level != self.after.level:
            words += f", {level_words(judged.level, 'officer')}"
        if judged.required is not None:
            words += f", asked {both(judged.required, self.dimension)}"
        if judged.found is not None:
            words += f", found {both(judged.found, self.dimension)}"
        return words


@dataclass(frozen=True)
class PlanChange:
    """The plan that mends a boat: the kind of work, parts, new cones."""

    before: str
    after: str
    parts_added: tuple[str, ...]
    parts_dropped: tuple[str, ...]
    cones_before: int
    cones_after: int


@dataclass(frozen=True)
class BoatChange:
    """Everything that changed about one boat.

    `was_entry_no` is set where the very same row, or a boat of her name and design, stood under another entry
    number. `problems` are of a rejected row. `not_computed` are reasons why she has no figures, "" where she
    has. A boat that entered, left, or has no figures to compare with has open shalls on one side only.
    """

    entry_no: str
    boat_name: str
    kind: BoatKind
    was_entry_no: str = ""
    open_shalls_before: int | None = None
    open_shalls_after: int | None = None
    not_computed_before: str = ""
    not_computed_after: str = ""
    problems_before: tuple[str, ...] = ()
    problems_after: tuple[str, ...] = ()
    amendments: tuple[Amendment, ...] = ()
    needs: tuple[NeedChange, ...] = ()
    findings: tuple[FindingChange, ...] = ()
    plan: PlanChange | None = None

    def of_kind(self, *kinds: FindingKind) -> tuple[FindingChange, ...]:
        """Return her findings of these kinds."""
        return tuple(finding for finding in self.findings if finding.kind in kinds)


@dataclass(frozen=True)
class ItemChange:
    """How much of one item the boats need together; None where the order has none."""

    id: str
    description: str
    unit: str
    before: Decimal | None
    after: Decimal | None
    unit_before: str

    @property
    def difference(self) -> Decimal | None:
        """After less before; None where the two are not in one unit."""
        if self.before is not None and self.after is not None and self.unit != self.unit_before:
            return None
        return (self.after or Decimal(0)) - (self.before or Decimal(0))


@dataclass(frozen=True)
class Count:
    """Boats and rejected rows of one run."""

    accepted: int
    rejected: int


@dataclass(frozen=True)
class ChangeReport:
    """Two runs and what lies between them: rules first, then boats by entry number, then the order."""

    previous: Stamp
    current: Stamp
    boats_before: Count
    boats_after: Count
    rules: tuple[RuleChange, ...]
    boats: tuple[BoatChange, ...]
    order: tuple[ItemChange, ...]
    notes: tuple[str, ...]

    @property
    def is_empty(self) -> bool:
        """Whether nothing changed: no rule, no boat, no item."""
        return not (self.rules or self.boats or self.order)

    def of_kind(self, *kinds: BoatKind) -> tuple[BoatChange, ...]:
        """Return the boats of these kinds."""
        return tuple(boat for boat in self.boats if boat.kind in kinds)
