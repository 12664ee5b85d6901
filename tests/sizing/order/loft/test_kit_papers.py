"""Marks, cuts, steps and hours of one boat's papers."""

from __future__ import annotations

import re

import pytest

from sizing.drogue.joint_text import joint_text
from sizing.order.kits import kits_for
from sizing.order.loft import kit_papers
from sizing.order.loft.bag import Bag, gather_bags
from sizing.order.loft.build_sheet import figures, occasions, points
from sizing.order.loft.craft_cards import craft_cards
from sizing.order.loft.files import kit_files
from sizing.order.loft.ink import Letters
from sizing.order.loft.page import Col, Flow
from sizing.policy import Policy
from sizing.words import in_plain_words
from tests.sizing.order.fleet_builder import Boat
from tests.sizing.order.loft.rally import Rally, page_texts, rally

EXTENDED = Boat(groups=("cones", "extension"), cones_to_make=17)
MOVED = Boat(groups=("cone line",), cones_to_make=40)
IN_PLACE = Boat(groups=("cones",), cones_to_make=30)
TWO_BAGS = Boat(groups=("stowage bag",), cones_to_make=0, stowed_mass_kg=68.0, stowed_volume_m3=0.12)


def bag_of(made: Rally) -> Bag:
    result = made.result
    kits = kits_for(result.order, result.intake.fleet, result.requirements, result.plans, made.policy)
    (bag,) = gather_bags(result.order, kits, result.intake.fleet, result.requirements, result.plans,
                         made.policy, made.catalogue, None)  # fmt: skip
    return bag


def text_of(made: Rally, name: str = "kits.pdf") -> str:
    pages = page_texts(kit_files(made.result, made.policy, made.catalogue)[name])
    return "\n".join(page for page in pages if not page.startswith("Workshop"))


def marks_in(text: str) -> dict[int, tuple[float, float]]:
    """Cone -> (from its section's eye, from the end), m."""
    block = re.compile(r"(\d+) +(\d+\.\d{3}) +\d+' [\d¼½¾]+\" +(\d+\.\d{3})")
    return {int(n): (float(inside), float(whole)) for n, inside, whole in block.findall(text)}


@pytest.mark.parametrize("name", ["kits.pdf", "kits-letter.pdf"])
def test_every_cone_has_its_mark(name: str) -> None:
    """Common practice, no source: first cone 2 ft from the end thimble. Pitch 20 in [CG87 4.1.1]."""
    marks = marks_in(text_of(rally([Boat()]), name))
    assert sorted(marks) == list(range(1, 102))
    for cone, (inside, whole) in marks.items():
        assert whole == pytest.approx(0.6096 + (cone - 1) * 0.508, abs=0.0006)
        outer_eye = 0.6096 + 40.5 * 0.508  # 41 cones outside it; the joint is half a pitch from either cone
        assert inside == pytest.approx(whole if cone <= 41 else whole - outer_eye, abs=0.0011)


def test_an_extension_is_marked_from_its_own_end() -> None:
    made = rally([EXTENDED])
    marks = marks_in(text_of(made))
    assert sorted(marks) == list(range(1, 18))
    assert marks[17][1] == pytest.approx(0.6096 + 16 * 0.508, abs=0.0006)
    assert "New section" in text_of(made)
    assert bag_of(made).lines[0].length_m == pytest.approx(17 * 0.508 + 0.6096)


def test_cones_changed_in_place_have_no_marks_and_say_so() -> None:
    text = text_of(rally([IN_PLACE]))
    assert not marks_in(text)
    assert "Change cones in their places." in text


def test_more_marks_than_a_page_holds_run_on() -> None:
    text = text_of(rally([Boat(cones=(300, 41))]))
    assert sorted(marks_in(text)) == list(range(1, 342))
    assert "continued" in text


def test_every_cut_is_listed_with_its_spool() -> None:
    made = rally([Boat()])
    bag = bag_of(made)
    lines = text_of(made).split("Cut list")[1].split("Marks table")[0].splitlines()
    printed = [line.split() for line in lines if re.search(r"\d\.\d{3} +[\d.]+$", line)]
    assert len(printed) == len(bag.kit.cuts)
    metres = sum(int(cells[-3].replace(",", "")) * float(cells[-2]) for cells in printed)
    assert metres == pytest.approx(sum(cut.count * cut.length_m for cut in bag.kit.cuts))


def test_hours_are_those_of_the_kit() -> None:
    bag = bag_of(rally([Boat()]))
    assert sum(station.hours for station in bag.stations) == pytest.approx(bag.kit.hours)


@pytest.mark.parametrize("boat", [Boat(), EXTENDED, MOVED, IN_PLACE, TWO_BAGS, Boat(groups=("attachments",))])
def test_every_step_of_a_kit_is_printed_and_no_other(boat: Boat) -> None:
    made = rally([boat])
    bag = bag_of(made)
    pages = [page for flow in craft_cards(bag, "A4") for page in flow.pages]
    on_cards = " ".join(mark.text for page in pages for mark in page.marks if isinstance(mark, Letters))
    texts = {"step": on_cards, "check": " ".join(text_of(made).split())}
    for kind, text in texts.items():
        for point in points()[kind]:
            words = (point.title or point.text).format_map(figures(bag))
            made_up = point.when in occasions(bag)
            if point.card == "sewing":  # a card of its own, which a kit without new cones has not
                made_up = made_up and bag.kit.work.cones_to_sew > 0
            assert (" ".join(words.split()) in text) == made_up, words


def test_every_occasion_of_the_texts_is_known() -> None:
    whole = occasions(bag_of(rally([Boat()]))) | occasions(bag_of(rally([EXTENDED])))
    whole |= occasions(bag_of(rally([IN_PLACE]))) | occasions(bag_of(rally([Boat(groups=("attachments",))])))
    whole |= occasions(bag_of(rally([TWO_BAGS])))
    whole |= occasions(bag_of(rally([Boat(groups=("thimbles",), cones_to_make=0)])))
    whole |= occasions(bag_of(rally([Boat(groups=("recovery gear",), cones_to_make=0)])))
    whole |= occasions(bag_of(rally([Boat()], Policy.model_validate({"order": {"seam": "lapped"}}))))
    assert {point.when for kind in points().values() for point in kind} <= whole


def test_a_drogue_for_two_bags_has_a_label_for_each() -> None:
    text = " ".join(text_of(rally([TWO_BAGS])).split())
    assert "print this page 2 times: it is for 2 bags" in text
    assert "print this page" not in " ".join(text_of(rally([Boat()])).split())


def test_figures_in_the_steps_are_the_policys() -> None:
    """Common practice, no source: three tapes of 30 in a cone, six knots, first cone 2 ft from the end."""
    shown = figures(bag_of(rally([Boat()])))
    assert (shown["tapes"], shown["tails"], shown["knots"]) == ("3", "6", "606")
    assert shown["tape_length"] == "762 mm (30 in)"
    assert shown["offset"].endswith("(24 in)")
    four = Policy.model_validate({"order": {"tapes_per_cone": 4}})
    assert figures(bag_of(rally([Boat()], four)))["knots"] == "808"


def test_moved_cones_are_told_from_new_ones() -> None:
    assert "40 cones are new; 61 are moved from her old line." in " ".join(text_of(rally([MOVED])).split())


def test_what_could_not_be_ordered_is_on_label_and_list() -> None:
    made = rally([Boat(stowed_volume_m3=99.0)])
    text = " ".join(text_of(made).split())
    assert made.result.order.problems
    assert "1 thing is not in it: see the pick list." in text
    assert "No bag of the catalogue holds her drogue" in text


def test_every_joint_is_told_in_the_order_it_is_closed() -> None:
    made = rally([Boat()])
    joints, text = bag_of(made).joints, " ".join(text_of(made).split())
    told = text.split("What joins what, in the order it is closed")[1]
    texts = [joint_text(joint) for joint in joints]
    titles = [f"{in_plain_words(text.name)}: {text.joined_by}." for text in texts]
    at = [told.index(title) for title in titles]
    assert len(at) == 5
    assert at == sorted(at)
    for joint in joints:
        for said in (*joint.steps, *joint.asks):
            assert said in told
    for joint_told in texts:
        for fit in joint_told.fits:
            assert fit.sentence in told


def test_no_two_closed_eyes_are_joined() -> None:
    """Review: "join the sections eye to eye" of eyes whose thimbles were closed already."""
    text = " ".join(text_of(rally([Boat()])).split()).split("What joins what, in")[1]
    assert "eye to eye" not in text
    first, second = (text.index(words) for words in ("Only while the inner eye", "and splice the eye of"))
    assert first < second < text.index("only then close its outer eye")


def test_a_large_fleet_has_several_files(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(kit_papers, "BAGS_A_FILE", 2)
    made = rally([Boat(entry_no=f"{n}", groups=("bridle",), cones_to_make=0) for n in range(5)])
    files = kit_files(made.result, made.policy, made.catalogue)
    names = ["kits-1.pdf", "kits-2.pdf", "kits-3.pdf"]
    assert [name for name in files if name.startswith("kits-") and "letter" not in name] == names
    first = page_texts(files["kits-1.pdf"])
    assert re.search(r"^4 +Grey Plover.* 3: 1$", first[0], re.MULTILINE)
    assert page_texts(files["kits-3.pdf"])[0].startswith("Entry 4,")


def test_a_table_that_runs_on_has_its_head_on_each_page() -> None:
    flow = Flow("A4", "Title", "Foot")
    flow.table((Col("Number", 1), Col("Square", 1, "right")), [(str(n), str(n * n)) for n in range(150)])
    pages = flow.finished(1)
    assert len(pages) > 2
    for page in pages:
        heads = [mark for mark in page.marks if isinstance(mark, Letters) and mark.text == "Square"]
        assert len(heads) == 1
    shown = [m.text for page in pages for m in page.marks if isinstance(m, Letters) and m.text.isdecimal()]
    assert shown == [text for n in range(150) for text in (str(n), str(n * n))]


def test_what_belongs_together_is_not_parted() -> None:
    flow = Flow("Letter", "Title", "Foot")
    flow.space(flow.depth - 40.0)

    def three(page: Flow) -> None:
        for name in ("one", "two", "three"):
            page.point("•", name)

    flow.together(three)
    assert [mark.text for mark in flow.pages[1].marks if isinstance(mark, Letters)] == [
        "•", "one", "•", "two", "•", "three",
    ]  # fmt: skip
