"""Each hull has drawings of her own, and the recovery is drawn with the gear that its steps name."""

from __future__ import annotations

import pytest

import sitegen.drawings as d
from sizing.policy import Haul
from sizing.seamanship.register import register
from tests.sitegen.drawings.reading import parts, svgs, text_boxes
from tests.sitegen.drawings.samples import HULLS, STERNS

BOAT_TYPE = {hull: boat_type for boat_type, hull in d.HULL_OF_BOAT_TYPE.items()}


@pytest.mark.parametrize("hull", HULLS)
def test_a_boat_is_drawn_with_her_own_hull_and_no_other(hull: d.Hull) -> None:
    drawn = [draw("p", d.SternView(hull, "motor" in hull)) for draw in STERNS.values()]
    (room,) = [d.draw_room("p", d.RoomView(hull, "143", 90.0))]
    side = d.draw_side_view("p", d.SideView(hull, 22.86, 103, 15.9))
    for place, markup in (*(("stern", m) for m in drawn), ("side", room), ("side", side)):
        (svg,) = svgs(markup)
        assert [len(parts(svg, f"{place} of {one}")) for one in HULLS] == [int(one == hull) for one in HULLS]
    (lying,) = svgs(d.draw_lying("p", hull))
    others = {d.draw_lying("p", other) for other in HULLS if other != hull}
    assert len(others) == 3
    assert d.draw_lying("p", hull) not in others
    assert parts(lying, "boat")


@pytest.mark.parametrize("hull", HULLS)
def test_a_launch_has_two_legs_and_nobody_aft_of_the_bag(hull: d.Hull) -> None:
    view = d.SternView(hull, "motor" in hull)
    (svg,) = svgs(d.draw_launching("p", view))
    assert len(parts(svg, "leg")) == len(parts(svg, "strong point")) == 2
    assert len(parts(svg, "rudder")) == (1 if hull == "monohull" else 2)
    zone = min(float(word.split()[0]) for word in next(
        e.attrib["d"] for e in svg.iter() if e.attrib.get("stroke-dasharray") == "5 3"
    ).lstrip("M").split("L")[:1])  # fmt: skip
    people = [float(person.attrib["cx"]) + float(person.attrib["r"]) for person in parts(svg, "person")]
    assert len(people) == 3
    assert max(people) < zone
    words = " ".join(box.text for box in text_boxes(svg, "u-metric"))
    assert ("all shafts stopped" in words) == (hull != "monohull")
    assert "shaft" in words


@pytest.mark.parametrize("hull", HULLS)
def test_the_recovery_is_drawn_with_the_gear_of_its_steps(hull: d.Hull) -> None:
    haul: Haul = "tackle" if "motor" in hull else "winch"
    steps = [s for s in register().steps_of("page", BOAT_TYPE[hull], "series", haul) if s.stage == "recover"]
    named = {gear for step in steps for gear in step.gear}
    view = d.SternView(hull, haul == "tackle")
    drawn = [svgs(draw("p", view))[0] for draw in (d.draw_junction, d.draw_recovering)]
    shown = {gear for gear in register().gear if any(parts(svg, gear) for svg in drawn)}
    assert shown == named - {"boathook", "knife", "windlass"}
    words = " ".join(box.text for svg in drawn for box in text_boxes(svg, "u-metric"))
    for gear in (
        "gripping loop",
        "recovery line",
        *(("tackle",) if haul == "tackle" else ("winch", "snatch")),
    ):
        assert gear in words
    assert "round" not in words  # no cone round a drum: of that seamen differ, and it is not drawn
