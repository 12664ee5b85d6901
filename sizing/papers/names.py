"""Which papers there are and how their files are called: known from the result, before any is made."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final, Literal

from sizing.model import MendPlan, MusterResult
from sizing.order.cloth.tiles import Paper
from sizing.order.loft.kit_papers import PAPER_NAMES
from sizing.papers.berths import Part, parts_by_berth
from sizing.redaction import private_values, redact
from sizing.words import Reader, word

BoatPaper = Literal["sea-card", "bench-card", "surveyors-sheet"]
BOAT_PAPERS: Final[Mapping[BoatPaper, str]] = {
    "sea-card": "Sea card",
    "bench-card": "Bench card",
    "surveyors-sheet": "Surveyor's sheet",
}
"""Papers of one boat's own, with what each is called."""
BOATS: Final = "boats"
"""Folder of the papers of single boats, inside that of all papers."""
OFFICERS_LIST: Final = "officers-list"


@dataclass(frozen=True)
class PaperFile:
    """One file: its name, and the paper it is laid out for."""

    name: str
    paper: Paper


def files_of(stem: str) -> tuple[PaperFile, ...]:
    """Return the files of one paper, for A4 and for Letter.

    >>> [file.name for file in files_of("officers-list")]
    ['officers-list.pdf', 'officers-list-letter.pdf']
    """
    return tuple(PaperFile(f"{stem}{suffix}.pdf", paper) for paper, suffix in PAPER_NAMES.items())


def sheets_stem(number: int) -> str:
    """Return the name of the sheets of one part, counted from 1."""
    return f"scrutineers-sheets-{number}"


def papers_of(result: MusterResult) -> Mapping[int, tuple[BoatPaper, ...]]:
    """Return the papers of each boat by row: none without figures, a bench card where parts are made."""
    made = {piece.row for piece in result.order.pieces}
    found: dict[int, tuple[BoatPaper, ...]] = {}
    for row in range(len(result.intake.fleet)):
        if row in result.requirements.not_computed:
            found[row] = ()
        else:
            found[row] = (
                "sea-card",
                *(("bench-card",) if row in made else ()),
                "surveyors-sheet",
            )
    return found


class Public:
    """What of a boat's free text may be published: no contact details."""

    def __init__(self, result: MusterResult) -> None:
        self._fleet = result.intake.fleet

    def text(self, column: str, row: int) -> str:
        """One text column of boat `row`; her entry number and name as they are."""
        said = str(self._fleet.text[column][row] or "")
        if column in {"entry_no", "boat_name"} or not said:
            return said
        return redact(said, private_values(self._fleet, row))


def plan_word(plan: MendPlan | None, reader: Reader, *, unknown: bool) -> str:
    """Return what is made for a boat in a word; `unknown` where an answer is wanting that may change it.

    >>> plan_word(None, "officer", unknown=True)
    'not known yet'
    """
    if plan is None or (unknown and plan.choice == "nothing"):
        return word("state", "not known", reader)
    return word("plan", plan.choice, reader)


def parts_of(result: MusterResult) -> tuple[Part, ...]:
    """Return the parts of the scrutineers' sheets; every boat is in one."""
    public, rows = Public(result), range(len(result.intake.fleet))
    return parts_by_berth(
        {row: public.text("berth", row) for row in rows}, {row: public.text("entry_no", row) for row in rows}
    )
