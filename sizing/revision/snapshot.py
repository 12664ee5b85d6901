"""The snapshot of a run: what a later run needs to say what changed, and no contact details.

Columns over the accepted boats, in the order of the fleet file. A column of figures that is the same for
every boat is kept once.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from decimal import Decimal
from typing import Annotated, Final, Literal, TypeVar

from pydantic import BaseModel, ConfigDict, Field, model_validator

from sizing.entry_key import entry_key

FORMAT: Final = "drogue-muster run snapshot"
VERSION: Final = 1

Text = Annotated[str, Field(max_length=40_000)]
Short = Annotated[str, Field(max_length=400)]
Digest = Annotated[str, Field(pattern=r"^[0-9a-f]{0,64}$")]
Figures = tuple[float | None, ...]

T = TypeVar("T")


class _Part(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", strict=True, allow_inf_nan=False)


class CheckSnapshot(_Part):
    """One check over the fleet: a digit of `Standing` for each boat, and the figures compared (SI)."""

    id: Short
    level: Literal["shall", "should"]
    dimension: Short
    standing: Annotated[str, Field(pattern=r"^[0-5]*$")]
    required: Figures
    found: Figures


class Problem(_Part):
    """One thing that was wrong with a rejected row: the header of the column, and the reason in one word."""

    column: Short
    code: Short


class RejectedSnapshot(_Part):
    """One rejected row. `row_digest` is of its cells without the entry number."""

    entry_no: Text
    boat_name: Text
    row_no: int
    row_digest: Digest
    problems: tuple[Problem, ...]


class PlanRecord(_Part):
    """What was chosen to mend one boat."""

    choice: Short
    groups: tuple[Short, ...]
    cones_to_make: int


class ItemRecord(_Part):
    """One item of the order, and how much of it the boats need together."""

    item: Short
    description: Short
    unit: Short
    needed: Decimal


class Stamp(_Part):
    """What the run was, and what it was run with."""

    program_version: Short
    today: date
    departure: date | None
    fleet_sha256: Digest
    policy_sha256: Digest
    catalogue_sha256: Digest
    prices_sha256: Digest
    struck: bool
    key_id: Digest


class Snapshot(_Part):
    """One run, compactly.

    `written` are the cells as they stood and `numbers` and `words` what was read from them; `sealed` are
    digests of private cells, of columns that are not ours, and of free text that may hold contact details
    (its cell in `written` then says so). `needs` are figures of the requirement and `parts` its catalogue
    ids. `ever_closed` are findings, as key of the entry and check, that were open once and closed later.
    """

    format: Literal["drogue-muster run snapshot"]
    format_version: Literal[1]
    stamp: Stamp
    rules: Mapping[Text, Text]
    entry_nos: tuple[Text, ...]
    names: tuple[Text, ...]
    row_digests: tuple[Digest, ...]
    written: Mapping[Short, tuple[Text, ...]]
    numbers: Mapping[Short, Figures]
    words: Mapping[Short, tuple[Short, ...]]
    sealed: Mapping[Text, tuple[Digest, ...]]
    not_computed: tuple[Text, ...]
    needs: Mapping[Short, Figures]
    parts: Mapping[Short, tuple[Short, ...]]
    checks: tuple[CheckSnapshot, ...]
    plans: tuple[PlanRecord, ...]
    rejected: tuple[RejectedSnapshot, ...]
    order: tuple[ItemRecord, ...]
    ever_closed: tuple[Text, ...]

    @model_validator(mode="after")
    def _whole(self) -> Snapshot:
        boats = len(self.entry_nos)
        lengths = {"names": len(self.names), "row_digests": len(self.row_digests), "plans": len(self.plans)}
        lengths["not_computed"] = len(self.not_computed)
        for table in ("written", "words", "sealed", "parts"):
            lengths |= {f"{table}.{name}": len(column) for name, column in getattr(self, table).items()}
        lengths |= {f"checks.{check.id}.standing": len(check.standing) for check in self.checks}
        wrong = [name for name, length in lengths.items() if length != boats]
        packed = {f"{table}.{name}": column for table in ("numbers", "needs")
                  for name, column in getattr(self, table).items()}  # fmt: skip
        for check in self.checks:
            packed |= {f"checks.{check.id}.required": check.required, f"checks.{check.id}.found": check.found}
        wrong += [name for name, column in packed.items() if len(column) not in {boats, min(boats, 1)}]
        if wrong:
            raise ValueError(f"{wrong[0]} has not one value for each of {boats} boats")
        if len({entry_key(entry) for entry in self.entry_nos}) != boats:
            raise ValueError("two boats have one entry number")
        if len({check.id for check in self.checks}) != len(self.checks):
            raise ValueError("a check stands twice")
        if len({item.item for item in self.order}) != len(self.order):
            raise ValueError("an item of the order stands twice")
        return self

    def __len__(self) -> int:
        return len(self.entry_nos)


def packed(column: Sequence[T]) -> tuple[T, ...]:
    """Return a column of which one value is kept if all are the same.

    >>> packed([5.0, 5.0, 5.0]), packed([5.0, 6.0])
    ((5.0,), (5.0, 6.0))
    """
    return (
        tuple(column[:1])
        if len(column) > 1 and all(value == column[0] for value in column)
        else tuple(column)
    )


def unpacked(column: Sequence[T], boats: int) -> tuple[T, ...]:
    """Return a column with one value for each boat again.

    >>> unpacked((5.0,), 3)
    (5.0, 5.0, 5.0)
    """
    return tuple(column) * boats if len(column) == 1 else tuple(column)
