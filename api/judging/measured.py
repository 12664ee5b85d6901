"""What a scrutineer measured: the words written down, and how the list beside them writes decimals."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from typing import Any

from sizing.intake import FoundCell
from sizing.units import DecimalSign


@dataclass(frozen=True)
class Measured:
    """One column as found. `si` is what was read of it where it is one quantity, kept to be shown.

    `listed` is what the list in force said of it then.
    """

    field: str
    text: str
    decimal: DecimalSign | None
    si: float | None = None
    listed: str = ""
    inspection: str = ""

    @property
    def cell(self) -> FoundCell:
        """As the intake reads it."""
        return FoundCell(self.text, self.decimal)

    def as_json(self) -> dict[str, Any]:
        """As it is kept with its inspection."""
        return {name: value for name, value in asdict(self).items() if name != "inspection"}


class MeasurementError(Exception):
    """Measurements that cannot be taken; `problems` are (field, code, expected, how to mend)."""

    def __init__(self, problems: Sequence[tuple[str, str, str, str]]) -> None:
        self.problems = tuple(problems)
        super().__init__("a measurement cannot be taken")
