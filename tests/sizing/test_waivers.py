"""Waivers that set nothing aside are said, each once, and stop nothing."""

from __future__ import annotations

import csv
import io
from dataclasses import replace
from datetime import date

import pytest

from sizing.fields import FIELDS
from sizing.intake import read_fleet
from sizing.model import IntakeResult, MusterResult
from sizing.policy import Policy, Waiver
from sizing.story import load_rules, muster_intake
from tests.sizing.audit.boats import TODAY, boat


def listed(*boats: dict[str, str]) -> IntakeResult:
    text = io.StringIO()
    writer = csv.DictWriter(text, [field.name for field in FIELDS], restval="")
    writer.writeheader()
    writer.writerows(boats)
    return read_fleet(text.getvalue().encode(), "entries.csv", today=TODAY)


def waiver(entry_no: str, check: str = "bridle.leg-length") -> Waiver:
    return Waiver(entry_no=entry_no, check=check, reason="seen", officer="Office", until=date(2027, 6, 1))


def mustered(intake: IntakeResult, *waivers: Waiver) -> MusterResult:
    return muster_intake(intake, replace(load_rules(), policy=Policy(waivers=waivers)), today=TODAY)


def said(result: MusterResult) -> list[str]:
    return [note for note in result.intake.file_notes if "waiver" in note]


def test_a_waiver_of_a_boat_that_withdrew_stops_nothing_and_is_said_once() -> None:
    intake = listed(boat(entry_no="017"), boat(entry_no="018"))
    result = mustered(intake, waiver("950"))
    (note,) = said(result)
    assert "entry “950”" in note
    assert "no accepted boat of this list has that entry number" in note
    assert "slip" not in note
    standings = [check.standing.tolist() for check in result.checks]
    assert standings == [check.standing.tolist() for check in mustered(intake).checks]


@pytest.mark.parametrize(("written", "meant"), [("17", "017"), ("O17", "017"), ("071", "017")])
def test_a_slip_is_told_with_the_numbers_that_are_alike(written: str, meant: str) -> None:
    (note,) = said(mustered(listed(boat(entry_no="017"), boat(entry_no="230")), waiver(written)))
    assert f"If it is a slip, the list has “{meant}”." in note


def test_a_waiver_waits_while_her_row_is_rejected() -> None:
    intake = listed(boat(entry_no="017"), boat(entry_no="018", displacement="heavy"))
    assert said(mustered(intake, waiver("018"))) == [
        "The waiver of bridle.leg-length for entry 018 waits: her row is rejected."
    ]


def test_a_waiver_of_what_meets_or_does_not_apply_is_said() -> None:
    intake = listed(boat(entry_no="1", bridle_leg_length="6 m"), boat(entry_no="2"))
    told = said(mustered(intake, waiver("1"), waiver("2"), waiver("2", "hardware.swivel")))
    assert told == [
        "The waiver of bridle.leg-length for entry 2 is not needed: she meets it.",
        "The waiver of hardware.swivel for entry 2 is not needed: it does not apply to her.",
    ]
