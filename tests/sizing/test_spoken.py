"""Figures in sentences: three digits, never to the side that flatters, exact where rounding would mislead."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sizing.audit import audit_fleet, findings_of, sentence
from sizing.model import Standing
from sizing.spoken import Toward, rounded, spoken, tells_it_right
from sizing.units import si_factor
from tests.sizing.audit.boats import boat, context_of, fleet_of


@pytest.mark.parametrize(
    ("value_si", "dimension", "toward", "said"),
    [
        (13_223.0, "force", "up", "13.3 kN (2,980 lbf)"),
        (13_223.0, "force", "down", "13.2 kN (2,970 lbf)"),
        (11.36, "mass", "up", "11.5 kg (26 lb)"),
        (25 * 0.45359237, "mass", "up", "11.5 kg (25 lb)"),
        (4.0132, "length", "up", "4.1 m (13 ft 2 in)"),
        (22.86, "length", "up", "22.9 m (75 ft)"),
        (1.234, "length", "up", "1.24 m (4 ft 1 in)"),
        (25 * 0.45359237, "mass", "down", "11.3 kg (25 lb)"),
        (7.0104, "length", "up", "7.1 m (23 ft)"),
        (77.4, "length", "up", "77.4 m (254 ft)"),
        (0.0, "force", "down", "0 kN (0 lbf)"),
        (101.0, "count", "up", "101"),
    ],
)
def test_figures_as_they_are_said(value_si: float, dimension: str, toward: Toward, said: str) -> None:
    assert spoken(value_si, dimension, toward) == said


@given(st.floats(0.05, 500_000.0), st.sampled_from(["mass", "force", "length"]))
def test_up_is_never_less_and_down_never_more(value_si: float, dimension: str) -> None:
    units = {
        "mass": ("kilogram", "pound"),
        "force": ("kilonewton", "pound_force"),
        "length": ("metre", "foot"),
    }
    for unit, up, down in zip(
        units[dimension],
        rounded(value_si, dimension, "up"),
        rounded(value_si, dimension, "down"),
        strict=True,
    ):
        exact = value_si / si_factor(unit)
        assert down <= exact * (1 + 1e-6)
        assert up >= exact * (1 - 1e-6)


def test_what_is_enough_is_never_said_to_be_less_than_is_needed() -> None:
    assert not tells_it_right(13_250.0, 13_240.0, "force", at_most=False)
    assert tells_it_right(13_350.0, 13_240.0, "force", at_most=False)
    assert (
        spoken(13_250.0, "force", "nearest") == "13.2 kN (2,980 lbf)" == spoken(13_240.0, "force", "nearest")
    )


def test_no_sentence_of_a_check_has_four_digits_that_are_not_needed() -> None:
    """Seen: “holds 43.5 kN (9,780 lbf); 31.5 kN (7,076 lbf) is needed”. Years and cone counts stay."""
    cells = [{}, {"bridle_leg_length": "6.0 m"}, {"end_weight": "9.55 kg"}, {"attachment_rating": "20.13 kN"}]
    fleet = fleet_of(*(boat(entry_no=str(at), **given) for at, given in enumerate(cells)))
    checks = audit_fleet(context_of(fleet))
    for row in range(len(cells)):
        for finding in findings_of(checks, fleet, row):
            if finding.standing in {Standing.SHORT, Standing.MEETS}:
                for figure in re.findall(r"([\d.,]+\d) (?:kN|lbf|kg|lb|m)\b", sentence(finding, "your")):
                    digits = figure.replace(",", "").replace(".", "").strip("0")
                    assert len(digits) <= 3, sentence(finding, "your")
