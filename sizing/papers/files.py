"""All papers by role as PDF files: those of the fleet, and those of each boat, for A4 and for US Letter."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from functools import partial
from pathlib import Path

from sizing.audit import answers_wanted, findings_of
from sizing.catalogue import Catalogue
from sizing.model import Finding, MusterResult
from sizing.order.cards.card import cards_of
from sizing.order.cards.sides import sides
from sizing.order.cloth.tiles import Paper
from sizing.order.kits import kits_for
from sizing.order.loft.bag import gather_bags
from sizing.order.loft.ink import Page
from sizing.order.loft.paint import pdf_bytes
from sizing.papers.bench import bench
from sizing.papers.names import (
    BOAT_PAPERS,
    BOATS,
    OFFICERS_LIST,
    BoatPaper,
    Public,
    files_of,
    papers_of,
    parts_of,
    plan_word,
    sheets_stem,
)
from sizing.papers.officer import call_list, officers_lines, officers_list
from sizing.papers.scrutineer import BoatSheet, sheets
from sizing.papers.scrutiny import SheetRows
from sizing.papers.surveyor import SurveyBoat, survey
from sizing.policy import Policy
from sizing.words import long_date
from sizing.writing import write_files


def write_papers(
    result: MusterResult, policy: Policy, catalogue: Catalogue, stems: Sequence[str], folder: Path
) -> None:
    """Write every paper into `folder`, which exists; OutputError if one cannot be written.

    `stems` begin the names of each boat's own files, by row. No contact details stand in them. The same
    result gives the same bytes.
    """
    maker = _Maker(result, policy, catalogue)
    (folder / BOATS).mkdir(exist_ok=True)
    write_files(folder, dict(maker.of_the_fleet()))
    for row in range(len(result.intake.fleet)):
        write_files(folder / BOATS, dict(maker.of_boat(row, stems[row])))


def call_list_files(result: MusterResult, policy: Policy) -> dict[str, bytes]:
    """Return the officer's own list of telephone numbers, by file name."""
    return {
        file.name: pdf_bytes(call_list(result, policy, file.paper), "Telephone list")
        for file in files_of("telephone-list")
    }


class _Maker:
    """What the papers of all boats are made from, gathered once."""

    def __init__(self, result: MusterResult, policy: Policy, catalogue: Catalogue) -> None:
        self._result, self._policy = result, policy
        fleet, needs = result.intake.fleet, result.requirements
        self._fleet, self._needs = fleet, needs
        self._public, self._papers = Public(result), papers_of(result)
        self._day = long_date(result.today)
        self._unknown = answers_wanted(result.checks)
        plans = {plan.row: plan for plan in result.plans}
        reference_day = max(policy.rally.departure or result.today, result.today)
        self._scrutiny = SheetRows(fleet, needs, catalogue, plans, reference_day)
        kits = kits_for(result.order, fleet, result.made, result.plans, policy)
        bags = gather_bags(result.order, kits, fleet, result.made, result.plans, policy, catalogue, None)
        self._bags = {bag.kit.row: bag for bag in bags}
        rows = (row for row in range(len(fleet)) if row not in needs.not_computed)
        self._cards = dict(zip(rows, cards_of(result, policy), strict=True))

    def of_the_fleet(self) -> Iterator[tuple[str, bytes]]:
        """The officer's list, and the scrutineers' sheets part by part."""
        rally = self._policy.rally.name
        lines = officers_lines(self._result, self._policy)
        for file in files_of(OFFICERS_LIST):
            pages = officers_list(lines, self._result.today, self._policy, file.paper)
            yield file.name, pdf_bytes(pages, f"Officer's list of {rally}")
        for number, part in enumerate(parts_of(self._result), 1):
            boats = [self._sheet(row) for row in part.rows]
            for file in files_of(sheets_stem(number)):
                pages = sheets(part.title, boats, file.paper, rally, self._day)
                yield file.name, pdf_bytes(pages, f"Scrutineers' sheets of {rally}")

    def of_boat(self, row: int, stem: str) -> Iterator[tuple[str, bytes]]:
        """One boat's own papers."""
        for kind in self._papers[row]:
            lay_out = self._layer(kind, row)
            title = f"{BOAT_PAPERS[kind]} of entry {self._public.text('entry_no', row)}"
            for file in files_of(f"{stem}-{kind}"):
                yield file.name, pdf_bytes(lay_out(file.paper), title)

    def _layer(self, kind: BoatPaper, row: int) -> Callable[[Paper], list[Page]]:
        """What lays one paper out on any size of sheet: what stands on it is gathered once for all sizes."""
        if kind == "sea-card":
            return partial(sides, self._cards[row])
        if kind == "bench-card":
            return partial(bench, self._bags[row], float(self._needs.cone_mouth_m[row]))
        text = self._public.text
        boat = SurveyBoat(
            row, text("entry_no", row), text("boat_name", row), text("design", row), self._findings(row)
        )
        return lambda paper: survey(boat, self._scrutiny, self._policy, paper, self._day)

    def _findings(self, row: int) -> tuple[Finding, ...]:
        return findings_of(self._result.checks, self._fleet, row)

    def _sheet(self, row: int) -> BoatSheet:
        fleet, text = self._fleet, self._public.text
        plan = self._scrutiny.plans.get(row)
        reason = self._needs.not_computed.get(row, "")
        return BoatSheet(
            entry_no=text("entry_no", row),
            boat_name=text("boat_name", row),
            berth=text("berth", row),
            facts=(
                ("Type", fleet.choice_words("boat_type", row) or ""),
                ("Design", text("design", row)),
                ("Sail", text("sail_no", row)),
                ("Plan", plan_word(plan, "scrutineer", unknown=row in self._unknown)),
                ("Claims rest on", fleet.choice_words("evidence", row) or "nothing said"),
            ),
            aboard=fleet.choice_words("device_type", row) or "not said",
            rows=self._scrutiny.rows(self._findings(row)),
            reason=reason,
        )
