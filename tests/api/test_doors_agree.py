"""Every check, through every door, however it is written: one finding, and one figure that is needed.

The doors are the list of the command line, the list sent to the server, what a scrutineer found aboard (one
boat at once, and the whole fleet after the next upload), and the question what would be if. What they say
stands on her page, on the printed sheet, on the dock and in the interface.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from math import ceil, floor
from pathlib import Path
from random import Random
from typing import Any

import pytest

from api.judging.document_kinds import FindingDocument
from api.judging.documents import BoatDocuments
from api.judging.identity import boat_id
from api.judging.measured import Measured
from api.judging.run import Engine, FleetRun, Scrutiny
from sitegen.boat_drawings import BoatDrawings
from sitegen.boat_facts import Gatherer
from sitegen.pages.boat import boat_page
from sitegen.pages.parts import FindingView
from sitegen.texts import load_texts
from sizing.audit import REGISTER
from sizing.audit.cases import DAY, READY
from sizing.fields import FIELD_BY_NAME, FIELDS, MEASURABLE, ON_SHEET
from sizing.intake import read_fleet
from sizing.model import MusterResult, Order, Standing
from sizing.papers.scrutiny import SheetRows
from sizing.story import judge
from sizing.units import DecimalSign
from sizing.words import standing_words
from tests.api.running import settings
from tests.api.spellings import HEADED, bare, respelled

CASES = [(spec.check.id, standing, cells) for spec in REGISTER for standing, cells in spec.cases]
STANDINGS = {standing.words: standing for standing in Standing}
SIGNS: tuple[DecimalSign, ...] = (".", ",")
SOME = 8
"""Of so many cases one goes through each door that judges one boat at once; with --thorough all, by turns."""
NO_ORDER = Order((), (), (), (), (), "EUR", None, {})


@dataclass(frozen=True)
class Written:
    """One case as it is written: her whole entry, and that with what can be measured left to a scrutineer."""

    entered: Mapping[str, str]
    left: Mapping[str, str]
    measured: tuple[Measured, ...]


@cache
def written(row: int, sign: DecimalSign) -> Written:
    check, standing, cells = CASES[row]
    dice = Random(f"{check} {standing} {dict(cells)} {sign}")  # noqa: S311  nothing secret
    told = {"entry_no": str(row + 1), "boat_name": f"Boat {row + 1}"}

    def spelled(name: str, cell: str) -> str:
        """With its unit; under a header that gives one, the header's."""
        if cell and name in HEADED:
            return f"{bare(name, cell, sign)} {HEADED[name]}"
        return respelled(name, cell, sign, dice)

    entered = {name: spelled(name, cell) for name, cell in {**READY, **cells, **told}.items()}
    found = [name for name, cell in cells.items() if cell and name in MEASURABLE]
    ready = {name: spelled(name, READY.get(name, "")) for name in found}
    return Written(entered, entered | ready, tuple(Measured(name, entered[name], sign) for name in found))


def listed(boats: list[Mapping[str, str]], sign: DecimalSign) -> bytes:
    """The boats as an entry list: bare figures under headers with a unit."""
    out = io.StringIO()
    writer = csv.writer(out, delimiter=";" if sign == "," else ",")
    names = [field.name for field in FIELDS if any(field.name in boat for boat in boats)]
    writer.writerow(f"{name} ({HEADED[name]})" if name in HEADED else name for name in names)
    for boat in boats:
        cells = ((name, boat.get(name, "")) for name in names)
        writer.writerow(cell.split(" ")[0] if name in HEADED else cell for name, cell in cells)
    return out.getvalue().encode()


def said(docs: BoatDocuments) -> Any:
    """What must be the same whichever way she came: all but the words she was written in."""
    measures = [{**one, "entered": "", "found": None} for one in docs.document["measures"]]
    rest = {k: v for k, v in docs.document.items() if k not in ("measures", "remarks", "warnings")}
    return docs.findings, measures, rest, docs.requirement


@cache
def engine() -> Engine:
    return Engine.of(settings(Path("nowhere"), strike_samples=2))  # with waves, the ride is judged too


def read(content: bytes, scrutiny: Mapping[str, Scrutiny]) -> FleetRun:
    """A list in which nothing is rejected, judged with what was found aboard."""
    intake = read_fleet(content, "a.csv", today=DAY)
    assert not intake.rejected
    return engine().judged(intake, scrutiny, DAY)


@cache
def by_list(sign: DecimalSign) -> FleetRun:
    return read(listed([written(row, sign).entered for row in range(len(CASES))], sign), {})


@cache
def told_of_the_list(sign: DecimalSign, row: int) -> BoatDocuments:
    """What the interface says of a case of the list."""
    return by_list(sign).documents(row)


@pytest.mark.parametrize("sign", SIGNS)
def test_the_list_is_read_as_it_was_meant(sign: DecimalSign) -> None:
    """Every case stands as its check declares, whatever units and words it is written in."""
    found = {column.check.id: column.standing for column in by_list(sign).judged.checks}
    wrong = [
        (check, dict(written(row, sign).entered))
        for row, (check, standing, _) in enumerate(CASES)
        if found[check][row] != standing
    ]
    assert not wrong


@pytest.mark.parametrize(
    ("sign", "rows", "alone"),
    [pytest.param(sign, range(first, len(CASES), 4), SOME) for first, sign in enumerate(SIGNS)]
    + [
        pytest.param(sign, range(first, len(CASES), 4), 2, marks=pytest.mark.thorough)
        for at, sign in enumerate(SIGNS)
        for first in range(4)
        if first != at
    ],
    ids=str,
)
def test_what_a_scrutineer_finds_stands_as_if_it_had_been_entered(
    sign: DecimalSign, rows: range, alone: int
) -> None:
    """By default a quarter of the cases with either sign; the others are thorough."""
    boats = [written(row, sign) for row in rows]
    scrutiny = {
        boat_id(str(row + 1)): Scrutiny((boat.measured,))
        for row, boat in zip(rows, boats, strict=True)
        if boat.measured
    }
    again = read(listed([boat.left for boat in boats], sign), scrutiny)
    assert set(scrutiny) <= set(again.keys)
    notation, wrong = again.intake.notation, []
    for at, (row, key, boat) in enumerate(zip(rows, again.keys, boats, strict=True)):
        meant = said(told_of_the_list(sign, row))
        found = {one.field: one for one in boat.measured}
        doors = {"next upload": again.documents(at)}
        if at % alone == 0:
            doors["alone"] = engine().boat(notation, again.cells[at], scrutiny.get(key, Scrutiny()), DAY)
        if at % alone == alone // 2:
            doors["what if"] = engine().what_if(notation, again.cells[at], found, DAY)
        wrong += [(door, CASES[row][0], boat.measured) for door, docs in doors.items() if said(docs) != meant]
    assert not wrong


@pytest.mark.parametrize(
    ("sign", "rows"),
    [
        pytest.param(".", range(0, len(CASES), 4)),
        *(pytest.param(".", range(first, len(CASES), 4), marks=pytest.mark.thorough) for first in (1, 2, 3)),
        pytest.param(",", range(0, len(CASES), 3), marks=pytest.mark.thorough),
    ],
    ids=str,
)
def test_the_command_line_and_its_pages_say_what_the_interface_says(sign: DecimalSign, rows: range) -> None:
    rules = engine().rules
    content = listed([written(row, sign).entered for row in rows], sign)
    intake = read_fleet(content, "a.csv", today=DAY)
    judged = judge(intake.fleet, rules, DAY, engine().strikes)
    result = MusterResult(
        "", DAY, "", "", "", intake, judged.requirements, judged.checks, (), NO_ORDER, judged.strike,
        judged.context.strike_aboard, judged.ride,
    )  # fmt: skip
    gatherer = Gatherer(result, rules.policy, rules.catalogue)
    scrutiny = SheetRows(intake.fleet, judged.requirements, rules.catalogue, {}, DAY)
    on_sheet = {field.name for field in ON_SHEET}
    for at, row in enumerate(rows):
        docs, facts = told_of_the_list(sign, row), gatherer.facts(at)
        page = boat_page(facts, BoatDrawings(), rules.policy, rules.catalogue, load_texts(), DAY)
        shown = {
            view.check_id: on_page(view)
            for view in (*page.open_shalls, *page.open_shoulds, *page.met, *page.not_applicable)
        }
        assert shown == {one["check"]: in_interface(one) for one in docs.findings}
        sheet = {row.name.lower(): row.needed for row in scrutiny.rows(facts.findings)}
        for one in docs.document["measures"]:
            if not (one["needed"] and one["field"] in on_sheet):
                continue
            field = FIELD_BY_NAME[one["field"]]
            said = sheet.get(field.label.lower()) or sheet[field.sheet.lower()]  # all thicknesses in a row
            for needed in one["needed"]:
                for figure in needed["metric"].split("; "):
                    assert any(one in said for one in as_on_sheet(figure, needed["at_most"])), (said, needed)
                assert ("advised" in said) >= (needed["level"] == "should"), one


def as_on_sheet(figure: str, at_most: bool) -> tuple[str, ...]:
    """How the sheet may say a figure: a small length in whole millimetres, never less strict; none for 0.

    The figure itself was rounded, by up to half of its last digit: so the next millimetre is right, too.
    """
    value, _, unit = figure.partition(" ")
    if unit == "mm":
        whole = floor(float(value)) if at_most else ceil(float(value))
        return f"{whole} mm", f"{whole - 1 if at_most else whole + 1} mm"
    return ("none" if figure == "0" else figure,)


def on_page(view: FindingView) -> tuple[Any, ...]:
    figures = [(one.metric, one.us) if one else None for one in (view.required, view.found)]
    return (view.standing_words, view.at_most, *figures, view.note)


def in_interface(one: FindingDocument) -> tuple[Any, ...]:
    figures = [(q["metric"], q["us"]) if q else None for q in (one["required"], one["found"])]
    advised = one["standing"] == "meets" and one["advised_standing"] in ("short", "absent", "unproven")
    words = standing_words(STANDINGS[one["standing"]], below_advised=advised)
    return (words, one["at_most"], *figures, one["note"])


@pytest.mark.parametrize("sign", SIGNS)
def test_grades_of_bolts_and_days_keep_their_points(sign: DecimalSign) -> None:
    """A grade is no decimal figure, and a day none: "8.8" is not "8,8" in a list with decimal commas.

    By hand: 2 x 0.6 x 800 MPa x 36.6 mm2 = 35.1 kN of the 48.9 kN needed [ISO 898-1], so the 60 kN stated for
    the attachment are not proven.
    """
    run = by_list(sign)
    found = (Measured("attachment_bolts", "2 x M8 8.8", sign), Measured("last_inspected", "18.02.2027", sign))
    docs = engine().boat(run.intake.notation, run.cells[0], Scrutiny((found,)), DAY)
    load = next(one for one in docs.findings if one["check"] == "attachment.load")
    seen = next(one for one in docs.findings if one["check"] == "condition.inspected")
    assert load["standing"] == "unproven"
    assert load["found"] is not None
    assert load["found"]["si"] == pytest.approx(35_136, rel=1e-3)
    assert (seen["standing"], seen["found"] and seen["found"]["si"]) == ("meets", 11.0)


@pytest.mark.parametrize(
    ("sign", "text", "newtons"), [(".", "1,234 N", 1234), (",", "1.234 N", 1234), (",", "1,234 kN", 1234)]
)
def test_a_sign_before_three_digits_is_read_as_the_list_has_it(
    sign: DecimalSign, text: str, newtons: float
) -> None:
    run = by_list(sign)
    found = (Measured("shackle_rating", text, run.intake.notation.decimal),)
    docs = engine().boat(run.intake.notation, run.cells[0], Scrutiny((found,)), DAY)
    value = next(one["value"] for one in docs.document["measures"] if one["field"] == "shackle_rating")
    assert value is not None
    assert value["si"] == pytest.approx(newtons)


def test_a_measurement_keeps_its_sense_when_a_list_of_the_other_sense_comes() -> None:
    found = Scrutiny((((Measured("shackle_rating", "101,234 N", ".")),),))
    for sign in SIGNS:
        run = by_list(sign)
        docs = engine().boat(run.intake.notation, run.cells[0], found, DAY)
        value = next(one["value"] for one in docs.document["measures"] if one["field"] == "shackle_rating")
        assert value is not None
        assert value["si"] == 101_234


@pytest.mark.parametrize(("mouth", "cones"), [("4 in", "195"), ("5 in", "125"), ("6 in", "87")])
def test_cones_needed_are_those_of_the_finding(mouth: str, cones: str) -> None:
    run = by_list(".")
    found = (Measured("cone_mouth", mouth, "."), Measured("cone_count", "130", "."))
    docs = engine().boat(run.intake.notation, run.cells[0], Scrutiny((found,)), DAY)
    count = next(one for one in docs.findings if one["check"] == "drag.cone-count")
    measure = next(one for one in docs.document["measures"] if one["field"] == "cone_count")
    assert [one["metric"] for one in measure["needed"]] == [cones]
    assert count["required"] is not None
    assert count["required"]["metric"] == cones
