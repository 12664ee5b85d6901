"""One boat judged alone after an inspection is, to the last bit, the boat judged with the whole fleet."""

from __future__ import annotations

import contextlib
import datetime as dt
import json
from pathlib import Path
from typing import Any

import pytest

from api.judging.documents import BoatDocuments
from api.judging.measured import Measured, MeasurementError
from api.judging.run import Engine, FleetRun, Scrutiny, waiver_of
from api.settings import Settings
from sizing.audit.cases import DAY, READY
from sizing.intake import read_fleet
from sizing.spreadsheet import csv_bytes
from tests.api.running import DEMO, TODAY, settings, sheet

FOUND = (
    (("lead_line_diameter", "3/4 in"), ("cone_count", "31")),
    (("end_weight", "21 kg"), ("bridle_leg_length", "6.5 m"), ("condition", "fair")),
    (("displacement", "9.4 t"), ("shackle_rating", "12 kN WLL"), ("section_diameters", "20 mm; 16 mm")),
    (("attachment_rating", "31 kN"), ("last_inspected", "2026-11-01"), ("transom_width", "2.4 m")),
    (("line_material", "nylon double braid"), ("attachment_bolts", "4 x M10 A4-70"), ("stowed_ready", "no")),
)


def scrutiny_for(row: int, entry_no: str) -> Scrutiny:
    """Two inspections of a boat, the second over the first, and a waiver of every third boat."""
    told = []
    for turn, step in enumerate((FOUND[row % len(FOUND)], FOUND[(row + 2) % len(FOUND)][:1])):
        told.append(tuple(Measured(f, v, ".", inspection=f"i{turn}") for f, v in step))
    waiver = waiver_of(entry_no, "line.lead-length", "A longer one is on its way.", "Ida", TODAY)
    signed: dict[str, dict[str, str] | None] = {"i0": {}, "i1": {} if row % 2 else None}
    return Scrutiny(tuple(told), (waiver,) if waiver is not None and row % 3 == 0 else (), signed)


def said(docs: BoatDocuments) -> str:
    """All that is kept of a boat, figures to their last digit."""
    told: list[Any] = [docs.document, docs.requirement, docs.findings, docs.open_shalls, docs.open_shoulds]
    return json.dumps(told, allow_nan=False)


def compared(engine: Engine, content: bytes, name: str, today: dt.date, every: int = 1) -> FleetRun:
    """Judge all boats at once and each alone, as entered and as found, and hold them against each other.

    Of the boats as found and alone, every n-th.
    """
    intake = read_fleet(content, name, today=today)
    entered = engine.judged(intake, {}, today)
    entries = [str(entry) for entry in entered.intake.fleet.text["entry_no"]]
    scrutiny, alone = {}, {}
    for row, key in list(enumerate(entered.keys))[::every]:
        for turn in range(len(FOUND)):  # what cannot be true of a boat is refused: another is found then
            scrutiny[key] = scrutiny_for(row + turn, entries[row])
            with contextlib.suppress(MeasurementError):
                alone[row] = engine.boat(entered.intake.notation, entered.cells[row], scrutiny[key], today)
                break
    whole = engine.judged(intake, scrutiny, today)
    assert len(alone) == len(scrutiny)
    for row, found in alone.items():
        assert said(engine.boat(entered.intake.notation, entered.cells[row], Scrutiny(), today)) == said(
            entered.documents(row)
        ), entries[row]
        assert said(found) == said(whole.documents(row)), entries[row]
    return entered


@pytest.mark.parametrize(
    ("name", "every"),
    [
        ("fleet.csv", 4),
        pytest.param("fleet.csv", 1, marks=pytest.mark.thorough),
        pytest.param("fleet_second.csv", 1, marks=pytest.mark.thorough),
    ],
)
def test_demo_boats_alone_are_as_in_the_fleet(tmp_path: Path, name: str, every: int) -> None:
    config: Settings = settings(tmp_path, policy=DEMO / "rally.toml")
    run = compared(Engine.of(config), (DEMO / name).read_bytes(), name, TODAY, every)
    assert len(run.keys) > 20


def test_varied_waves_advise_the_same_of_a_boat_alone(tmp_path: Path) -> None:
    boats = [{**READY, "entry_no": number} for number in ("1", "2")]
    rows = [list(READY), *([boat[name] for name in READY] for boat in boats)]
    run = compared(Engine.of(settings(tmp_path, strike_samples=16)), csv_bytes(rows), "ready.csv", DAY)
    found = [finding for row in range(len(run.keys)) for finding in run.documents(row).findings]
    advised = [finding for finding in found if finding["advised"]]
    assert {finding["check"] for finding in advised} >= {"attachment.load", "line.strength-residual"}
    assert all(finding["advised_standing"] for finding in advised)


def test_without_simulated_waves_too(tmp_path: Path) -> None:
    compared(Engine.of(settings(tmp_path, strike_samples=None)), sheet(), "small.csv", TODAY)


@pytest.mark.parametrize(
    ("sign_offs", "stage"),
    [
        ({}, "shown"),
        ({"i1": None}, "shown"),
        ({"i1": {"cone_count": "listed"}}, "signed-off"),
        ({"i1": {}}, "signed-off"),
        ({"i1": {}, "i2": None}, "shown"),
        ({"i1": {"cone_count": "1"}}, "shown"),
    ],
)
def test_a_boat_is_signed_off_while_the_list_says_what_was_covered(
    sign_offs: dict[str, dict[str, str] | None], stage: str
) -> None:
    """Of what a new list says otherwise nobody has signed, and so before the inspection is open again."""
    cells = {name: cell for name, cell in READY.items() if cell}
    engine = Engine.of(settings(Path(), prices=None))
    intake = read_fleet(csv_bytes([list(cells), list(cells.values())]), "ready.csv", today=DAY)
    entered = engine.judged(intake, {}, DAY)
    boat = entered.cells[0]
    listed = {
        name: covered and {field: cells[field] if was == "listed" else was for field, was in covered.items()}
        for name, covered in sign_offs.items()
    }
    told = engine.boat(entered.intake.notation, boat, Scrutiny(sign_offs=listed), DAY)
    assert told.document["stage"] == stage
