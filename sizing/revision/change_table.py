"""The report of changes as one table for a spreadsheet: a row for each change."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Final

from sizing.revision.change_text import cause_words
from sizing.revision.changes import BoatChange, ChangeReport
from sizing.spreadsheet import Cell, csv_bytes, plain_text
from sizing.words import open_words

COLUMNS: Final = (
    "change", "entry_no", "boat_name", "item", "kind", "level", "before", "after", "difference", "unit",
    "cause", "id",
)  # fmt: skip

Row = Mapping[str, Cell]


def changes_csv(report: ChangeReport) -> bytes:
    """Return changes.csv. Amounts of the order are numbers; every other cell is text."""
    return csv_bytes([COLUMNS, *([_cell(row.get(name)) for name in COLUMNS] for row in _rows(report))])


def _cell(cell: Cell) -> Cell:
    return plain_text(cell) if isinstance(cell, str) else cell


def _rows(report: ChangeReport) -> Iterator[Row]:
    for rule in report.rules:
        yield {
            "change": "rule",
            "item": rule.words,
            "before": rule.before,
            "after": rule.after,
            "id": rule.id,
        }
    for boat in report.boats:
        who = {"entry_no": boat.entry_no, "boat_name": boat.boat_name}
        for row in _boat_rows(boat):
            yield {**who, **row}
    for item in report.order:
        yield {
            "change": "order",
            "item": item.description,
            "before": item.before,
            "after": item.after,
            "difference": item.difference,
            "unit": item.unit if item.unit == item.unit_before else f"{item.unit_before} -> {item.unit}",
            "id": item.id,
        }


def _boat_rows(boat: BoatChange) -> Iterator[Row]:
    yield {
        "change": "boat",
        "item": f"was entry {boat.was_entry_no}" if boat.was_entry_no else "",
        "kind": boat.kind,
        "before": "; ".join(boat.problems_before)
        or _shalls(boat.open_shalls_before)
        or boat.not_computed_before,
        "after": "; ".join(boat.problems_after) or _shalls(boat.open_shalls_after) or boat.not_computed_after,
        "id": boat.entry_no,
    }
    for amendment in boat.amendments:
        yield {
            "change": "entry", "item": amendment.field, "kind": amendment.kind, "before": amendment.before,
            "after": amendment.after, "id": amendment.id,
        }  # fmt: skip
    for need in boat.needs:
        yield {
            "change": "need", "item": need.name, "before": need.shown(need.before),
            "after": need.shown(need.after), "cause": cause_words(need.causes), "id": need.id,
        }  # fmt: skip
    for finding in boat.findings:
        yield {
            "change": "finding", "item": finding.check, "kind": finding.kind, "level": finding.level,
            "before": finding.shown(finding.before), "after": finding.shown(finding.after),
            "cause": cause_words(finding.causes), "id": finding.id,
        }  # fmt: skip
    if boat.plan:
        yield {
            "change": "plan", "before": f"{boat.plan.before}, {boat.plan.cones_before} new cones",
            "after": f"{boat.plan.after}, {boat.plan.cones_after} new cones",
            "item": "; ".join(
                [f"added: {part}" for part in boat.plan.parts_added]
                + [f"no longer: {part}" for part in boat.plan.parts_dropped]
            ),
            "id": f"{boat.entry_no}/plan",
        }  # fmt: skip


def _shalls(count: int | None) -> str:
    return "" if count is None else open_words(count, 0, "officer")
