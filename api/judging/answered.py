"""What a boat's skipper answered of a column of the entry sheet, and when it counts.

It is her word: it stands above what the list said when she answered, below what a scrutineer measured, and
below a list that says something else since.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import Final, Literal, get_args

from sizing.intake import FoundCell
from sizing.units import DecimalSign

AnswerState = Literal["said", "unknown", "later"]
STATES: Final[tuple[AnswerState, ...]] = get_args(AnswerState)


@dataclass(frozen=True)
class Answer:
    """Her last answer about one column: what it is, that she does not know, or that she measures it later.

    `number` tells it from all others of the fleet. `decimal` and `listed` are how the list in force then
    wrote decimals, and what it said of the column.
    """

    field: str
    state: AnswerState
    text: str = ""
    decimal: DecimalSign | None = None
    listed: str = ""
    until: str = ""
    number: int = 0
    day: str = ""

    @property
    def cell(self) -> FoundCell:
        """As the intake reads it."""
        return FoundCell(self.text, self.decimal)

    def counts(self, cells: Mapping[str, str], measured: Collection[str]) -> bool:
        """Whether the boat is judged by it: said, not measured, and nothing else listed since.

        >>> Answer("cone_count", "said", "100", ".", listed="90").counts({"cone_count": "90"}, ())
        True
        >>> Answer("cone_count", "said", "100", ".", listed="90").counts({"cone_count": "95"}, ())
        False
        """
        if self.state != "said" or self.field in measured:
            return False
        return cells.get(self.field, "").strip() in {"", self.listed, self.text}
