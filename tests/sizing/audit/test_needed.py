"""What is needed on a column is what the boat's own findings ask."""

from __future__ import annotations

import math

import pytest

from sizing.audit.needed import needed_of
from sizing.model import Standing
from tests.sizing.audit.boats import boat, checks

LB, INCH, FT = 0.45359237, 0.0254, 0.3048  # NIST SP 811


@pytest.mark.parametrize(("mouth", "count"), [("4 in", "130"), ("6 in", "130"), ("5 in", "100")])
def test_as_many_cones_of_her_own_mouth_are_needed(mouth: str, count: str) -> None:
    """CG87 6.1 by hand at 20,000 lb: diameter 4 ft x (20/7.5)^(ln(5.5/4)/ln 8), its area over a mouth's."""
    needed = needed_of(checks(boat(cone_mouth=mouth, cone_count=count)), 0)["cone_count"]
    diameter_m = 4 * FT * (20_000 / 7_500) ** (math.log(5.5 / 4) / math.log(8))
    assert needed.required == math.ceil((diameter_m / (float(mouth.split(maxsplit=1)[0]) * INCH)) ** 2)
    assert needed.check.id == "drag.cone-count"


def test_where_two_findings_ask_of_one_column_the_stricter_figure_stands() -> None:
    for row in (boat(), boat(displacement_basis=""), boat(device_from="bow")):
        found = checks(row)
        for column, needed in needed_of(found, 0).items():
            asked = [
                float(one.required[0])
                for one in found
                if column in one.check.columns
                and one.check.dimension == needed.check.dimension
                and one.at_most == needed.at_most
                and one.standing[0] != Standing.NOT_APPLICABLE
                and not math.isnan(one.required[0])
            ]
            assert needed.required == (min(asked) if needed.at_most else max(asked)), column


def test_nothing_is_needed_of_a_device_that_is_not_there() -> None:
    assert "cone_pitch" not in needed_of(checks(boat(device_type="none")), 0)
