"""Sewing card and rigging card: two sides, the order that works, the kit's own figures, our own drawings."""

from __future__ import annotations

import math

import pytest

from sizing.order.cloth.tiles import Paper
from sizing.order.loft.bag import Bag
from sizing.order.loft.build_sheet import points
from sizing.order.loft.craft_cards import LEAST_PT, SIDES, card, craft_cards, shown_of, steps_of
from sizing.order.loft.craft_pictures import HIGH_PT, WIDE_PT, picture
from sizing.order.loft.ink import Letters, Page, Rule, Trace
from sizing.order.loft.lettering import width_pt
from sizing.policy import Policy
from tests.sizing.order.fleet_builder import Boat
from tests.sizing.order.loft.rally import rally
from tests.sizing.order.loft.test_kit_papers import bag_of as only_bag

LAPPED = Policy.model_validate({"order": {"seam": "lapped", "hem_allowance": "8 mm"}})
MOVED = Boat(groups=("cone line",), cones_to_make=0)


def bag_of(boat: Boat, policy: Policy | None = None) -> Bag:
    return only_bag(rally([boat], policy) if policy else rally([boat]))


def words_of(pages: list[Page]) -> str:
    return " ".join(mark.text for page in pages for mark in page.marks if isinstance(mark, Letters))


def titles(bag: Bag, name: str) -> list[str]:
    return [step.title for step in steps_of(bag, name)]


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_a_whole_drogue_has_two_cards_of_two_sides_in_letters_for_arms_length(paper: Paper) -> None:
    cards = craft_cards(bag_of(Boat(cones=(150, 120))), paper)
    assert [len(flow.pages) <= SIDES for flow in cards] == [True, True]
    for flow in cards:
        said = [mark for page in flow.pages for mark in page.marks if isinstance(mark, Letters)]
        assert max(mark.size for mark in said) >= LEAST_PT


def test_who_sews_nothing_gets_no_sewing_card() -> None:
    assert len(craft_cards(bag_of(MOVED), "A4")) == 1


def test_tapes_are_sewn_on_the_open_cone_and_cones_are_threaded_before_the_last_eye() -> None:
    """The build sheet before joined the seam first, when no tape can be sewn, and closed all eyes first.

    The order is common practice, no source.
    """
    bag = bag_of(Boat())
    sewing = titles(bag, "sewing")
    assert_in_order(
        sewing,
        ("Mark one cone", "Lay and baste", "Stitch along both", "Only then fold", "Turn it", "One test cone"),
    )
    rigging = titles(bag, "rigging")
    assert_in_order(
        rigging,
        (
            "Splice the first",
            "Mark the line",
            "Thread the cones",
            "Pass the tapes",
            "Leave slack",
            "Knot every",
        ),
    )


def assert_in_order(titles: list[str], order: tuple[str, ...]) -> None:
    places = [next(at for at, title in enumerate(titles) if title.startswith(word)) for word in order]
    assert places == sorted(places)


def test_the_figures_are_the_kits_own() -> None:
    bag = bag_of(Boat())
    text = " ".join(words_of(card(bag, "sewing", "A4").pages).split())
    assert "101 cones for this kit" in text
    assert "Cut 303 tapes" in text
    assert f"{math.pi * 127 / 2:.1f} mm" in text  # a rim laid flat is half its circumference
    assert f"{math.pi * 38.1 / 2:.1f} mm" in text
    assert "304.8" in text or "305 mm" in text  # (30 in - 6 in) / 2 = 12 in of tail
    assert "606 in all" in " ".join(words_of(card(bag, "rigging", "A4").pages).split())


def test_a_lapped_and_hemmed_cone_is_sewn_so() -> None:
    bag = bag_of(Boat(), LAPPED)
    text = " ".join(words_of(card(bag, "sewing", "A4").pages).split())
    assert "one edge flat over the other" in text
    assert "Turn it" not in text
    assert "hem of 8 mm" in text
    assert "one edge flat" not in words_of(card(bag_of(Boat()), "sewing", "A4").pages)


def test_every_fact_of_the_cards_says_where_it_is_from() -> None:
    for step in points()["step"]:
        assert step.card in {"sewing", "rigging"}
        assert step.source.strip()


@pytest.mark.parametrize("name", sorted({step.picture for step in points()["step"] if step.picture}))
@pytest.mark.parametrize("policy", [Policy(), LAPPED])
def test_every_drawing_stays_in_its_frame(name: str, policy: Policy) -> None:
    for mark in picture(name, shown_of(bag_of(Boat(), policy))):
        if isinstance(mark, Trace):
            corners = list(mark.points)
        elif isinstance(mark, Letters):
            wide = width_pt(mark.text, mark.face, mark.size)
            corners = [(mark.x, mark.y), (mark.x + wide, mark.y + 0.7 * mark.size)]
        else:
            assert isinstance(mark, Rule)
            corners = [(mark.x, mark.y), (mark.to_x, mark.to_y)]
        for x, y in corners:
            assert -0.5 <= x <= WIDE_PT + 0.5, (mark, x)
            assert -0.5 <= y <= HIGH_PT + 0.5, (mark, y)
