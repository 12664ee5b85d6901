"""Whom the office calls first: one call a boat, those with the gravest consequence before the others.

A call is about one thing that only somebody outside the office can answer or decide: her skipper, or the
surveyor. What chandlery, workshop and scrutineers do stands in the chase list, and is no call.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Final

from sizing.audit import STAGE_OF, StageKey, stages_of
from sizing.chase.actions import Action
from sizing.fields import FIELD_BY_NAME
from sizing.intake import own_name, rejected_cells
from sizing.model import IntakeResult, MusterResult, Owner, RejectedRow, Standing
from sizing.revision.natural import natural_key
from sizing.spreadsheet import Cell, csv_bytes, plain_text
from sizing.words import word

CALLED: Final[dict[Owner, str]] = {
    "skipper": "her skipper", "surveyor": "the surveyor", "safety officer": "her skipper",
}  # fmt: skip
"""Who is called about an action, by whose it is: what the office has to find out, her skipper knows."""
MOST_TODAY: Final = 10
NOT_TAKEN: Final = word("stage", "not-taken", "officer")
_ABOARD: Final = "drag.device-aboard"
_CONES: Final = "drag.cone-count"
_LAST: Final = 1_000

NAMED_IN_FULL: Final = {"entry_no": "entry number"}
UNKNOWN: Final = "Nobody knows what drogue she has: nothing is ordered for her yet."
NO_DEVICE: Final = "She has no drogue, and her answer decides what is ordered with the new one."
BARELY: Final = "Her drogue is not described: nothing is ordered for her yet."
NOT_SIZED: Final = "Her figures cannot be worked out: nothing is ordered for her."
REJECTED: Final = "Her row could not be taken: nothing is sized or ordered for her."
SHORT: Final = "She is short of what is required, and her answer decides what is ordered."
ANSWER: Final = "Her answer decides what is ordered."
REACH: Final = "She is short of what is required."
LOOK: Final = "Something required is not shown."
CONSEQUENCES: Final = (
    UNKNOWN, NO_DEVICE, BARELY, NOT_SIZED, REJECTED, SHORT, ANSWER, REACH, LOOK,
)  # fmt: skip
"""Why a call comes where it does, gravest first [practice].

Boats that may have nothing to lie to stand before those whose row has a slip in it.
"""

COLUMNS: Final = (
    "call", "who", "skipper", "phone", "email", "entry_no", "boat_name", "berth", "stage", "ask", "why",
    "by", "more",
)  # fmt: skip


@dataclass(frozen=True)
class Call:
    """One call: about which boat, what to ask first, why she comes here, and how much more there is to ask.

    `row` is the accepted boat's, None for a rejected row.
    """

    row: int | None
    action: Action
    ask: str
    why: str
    more: int

    @property
    def who(self) -> str:
        """Who is called."""
        return CALLED[self.action.owner]


def calls_of(result: MusterResult, actions: Iterable[Action]) -> tuple[Call, ...]:
    """Return the calls that the actions of a run come to, the gravest first; `MOST_TODAY` are a day's work.

    Of calls alike in consequence the one due first comes first, then the boat with most to answer.
    """
    asked: dict[tuple[int | None, int], list[Action]] = defaultdict(list)
    for action in actions:
        if action.owner in CALLED and action.level == "shall":
            asked[action.row, action.row_no].append(action)
    stages = stages_of(result)
    unknown, uncounted = _unproven(result, _ABOARD), _unproven(result, _CONES)
    refused = {row.row_no: row for row in result.intake.rejected}
    place = {column.check.id: at for at, column in enumerate(result.checks)}
    calls = []
    for (row, row_no), several in asked.items():
        first = min(several, key=lambda action: _turn(action, place))
        stage = None if row is None else stages[row]
        why = UNKNOWN if row in unknown else _why(first, stage, described=row not in uncounted)
        ask = first.sentence if row is not None else _put_right(refused[row_no], result.intake)
        calls.append(Call(row, first, ask, why, len(several) - 1))
    return tuple(sorted(calls, key=_order))


def calls_csv(calls: Sequence[Call], result: MusterResult) -> bytes:
    """Return every call as a table with names and contact details: for the officer alone."""
    stages = stages_of(result)
    names = result.intake.columns
    refused = {row.row_no: rejected_cells(row, names) for row in result.intake.rejected}
    rows: list[tuple[Cell, ...]] = [COLUMNS]
    for place, call in enumerate(calls, start=1):
        action = call.action
        hers = (
            refused.get(action.row_no, {})
            if call.row is None
            else result.intake.fleet.text.row(call.row, named=True)
        )
        stage = NOT_TAKEN if call.row is None else STAGE_OF[stages[call.row]].words
        contact = (plain_text(str(hers.get(name) or "")) for name in ("skipper", "phone", "email"))
        texts = (
            action.entry_no, action.boat_name, action.berth, stage, call.ask, call.why,
            action.due.day.isoformat() if action.due.day else "",
        )  # fmt: skip
        rows.append((place, call.who, *contact, *map(plain_text, texts), call.more))
    return csv_bytes(rows)


def holding_up(calls: Iterable[Call]) -> tuple[Call, ...]:
    """Return the calls whose answer changes what is bought: they have to be made before the order."""
    return tuple(call for call in calls if call.action.stage == "orders")


def _turn(action: Action, place: dict[str, int]) -> tuple[object, ...]:
    """What is asked first of one boat: what must come before the order, then in the order of the checks."""
    first = min((place.get(check, _LAST) for check in action.checks), default=-1)
    return action.due.day or date.max, first, action.id


def _put_right(row: RejectedRow, intake: IntakeResult) -> str:
    """What is asked about a row that could not be taken: her figures, since she has no sheet to mend."""
    columns = dict.fromkeys(error.column for error in row.errors if error.column)
    names = {column: own_name(intake, column) for column in columns}
    labels = [
        NAMED_IN_FULL.get(name, FIELD_BY_NAME[name].label) if name else column
        for column, name in names.items()
    ]
    if not labels:
        return f"What does her entry say? Then mend row {row.row_no}."
    verb = "is" if len(labels) == 1 else "are"
    return f"What {verb} her {', '.join(labels)}? Then mend row {row.row_no}."


def _why(action: Action, stage: StageKey | None, *, described: bool) -> str:
    if stage is None:
        return REJECTED
    if stage == "not-sized":
        return NOT_SIZED
    if action.stage != "orders":
        return REACH if stage in ("short", "no-device") else LOOK
    if stage == "not-described" and not described:
        return BARELY
    return {"no-device": NO_DEVICE, "short": SHORT}.get(stage, ANSWER)


def _unproven(result: MusterResult, check: str) -> set[int]:
    """Boats for which a check is unproven."""
    return {
        row
        for column in result.checks
        if column.check.id == check
        for row in (column.standing == Standing.UNPROVEN).nonzero()[0].tolist()
    }


def _order(call: Call) -> tuple[object, ...]:
    action = call.action
    return (
        CONSEQUENCES.index(call.why), action.due.day or date.max, -call.more, natural_key(action.entry_no),
        action.row_no,
    )  # fmt: skip
