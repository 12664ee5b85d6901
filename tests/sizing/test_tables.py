"""The sizing table says nothing of a boat that has no figures."""

from __future__ import annotations

from sizing.frames import requirements_frame
from sizing.intake import read_fleet
from sizing.story import load_rules, muster_intake
from tests.sizing.audit.boats import TODAY

# Nothing of the catalogue joins the bridle of 290 t to her lead line, so nothing is computed of her.
HUGE = """entry_no,boat_name,boat_type,loa,lwl,beam,transom_width,displacement
1,Ready,sailing monohull,12.2 m,10.8 m,3.9 m,2.8 m,"20,000 lb"
2,Huge,motor monohull,46 m,42 m,9 m,6 m,290 t
"""


def test_a_boat_without_figures_is_not_called_inside_the_published_range() -> None:
    """CG87 6.1: 7,500 to 60,000 lb."""
    intake = read_fleet(HUGE.encode(), "fleet.csv", today=TODAY)
    rules = load_rules()
    result = muster_intake(intake, rules, today=TODAY)
    table = requirements_frame(
        intake.fleet, result.requirements, result.strike, result.checks, rules.catalogue
    )
    assert table["not_computed"][1]
    assert list(table["published_range"]) == list(table["source_hull"]) == ["inside", ""]
    assert table["cones"].isna().tolist() == [False, True]
