"""The sea card of every kind of boat and rig, with the longest figures."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import product
from pathlib import Path

import numpy as np
import pytest

from sizing.errors import OutputError
from sizing.fields import CHOICES
from sizing.model import MendChoice, MusterResult
from sizing.order.cards import files as card_module
from sizing.order.cards.card import Card, cards_of
from sizing.order.cards.files import card_files, write_cards
from sizing.order.cards.sides import LEGEND_PT, NOT_WHOLE, READ_PT, sides
from sizing.order.cloth.tiles import Paper
from sizing.order.loft.ink import Letters
from sizing.order.loft.paint import pdf_bytes
from sizing.policy import Haul, Policy
from sizing.seamanship.handling import SERIES, Handling, Whose
from sizing.seamanship.recovery import haul_of
from sizing.seamanship.register import Rig, Stage, register
from tests.sizing.order.fleet_builder import Boat
from tests.sizing.order.loft.rally import page_sizes_pt, page_texts, rally, words

PAPERS: Sequence[Paper] = ("A4", "Letter")
TYPES = CHOICES["boat_type"]
RIGS: Sequence[Rig] = ("series", "other")
FRONT: Sequence[Stage] = ("decide", "ready", "launch")
BACK: Sequence[Stage] = ("lie", "wrong", "cut", "recover")


def plain(text: str) -> str:
    return " ".join(text.split())


def card_of(boat_type: str, rig: Rig, haul: Haul | None = None) -> Card:
    """A card with figures as long as any policy lets them be."""
    base = next(iter(cards_of(rally([Boat()]).result, Policy())))
    wide = {
        "speeds": "10.8 to 12.8 kn", "wind": "100 kn", "day_miles": "258 to 307", "clear_miles": "1,461",
        "out": "1,288 m (4,226 ft)", "out_m": "1,288", "lead": "122.9 m (403 ft 10 in)",
        "end_weight": "122.8 kg (270.8 lb)", "attachment": "288.8 kN (64,925 lbf)",
        "pull": "888.8 kN (199,810 lbf)", "reaches": "388", "reach": "2 m (6 ft 7 in)",
        "pull_1": "10.8 kN (2,428 lbf)", "pull_2": "43.2 kN (9,712 lbf)",
    }  # fmt: skip
    assert wide.keys() == base.told.figures.keys()
    told = Handling(
        boat_type,
        rig,
        haul or haul_of(boat_type, Policy()),
        Whose("For the rig shown here. Not aboard yet.", "Aboard: a cone drogue. Nothing here is for it."),
        "once this rig is aboard",
        ("Hull type outside the source; outside the published range (heavier).",),
        wide if rig == "series" else {},
    )
    return Card("888", "W" * 60, told, base.numbers if rig == "series" else (), "2026-11-25")


HAULS: Sequence[Haul] = ("winch", "tackle")
KINDS = [kind for kind in product(TYPES, RIGS, HAULS) if kind[1:] != ("other", "tackle")]


@pytest.mark.parametrize(("kind", "paper"), list(product(KINDS, PAPERS)))
def test_every_step_is_whole_on_one_side_and_nothing_overlaps(
    kind: tuple[str, Rig, Haul], paper: Paper
) -> None:
    card = card_of(*kind)
    data = pdf_bytes(sides(card, paper), "test")
    texts = [plain(page) for page in page_texts(data)]
    assert len(texts) == 2
    longest = card_of("", "series").told.figures
    hers = set(card.told.steps("card"))
    for side, stages in ((0, FRONT), (1, BACK)):
        here, there = texts[side], texts[1 - side]
        own: list[str] = []
        others: list[str] = []
        for step in (step for step in register().steps if step.stage in stages):
            said = plain(f"{step.key} {step.say}".format_map(longest))
            (own if step in hers else others).append(said)
        assert {step.stage for step in hers} == {*FRONT, *BACK}
        assert [said for said in own if here.count(said) != 1 or said in there] == []
        assert [said for said in others if said in here and not any(said in one for one in own)] == []
    width, height = page_sizes_pt(data)[0]
    margin = 10 / 25.4 * 72
    for word in words(data):
        assert margin - 1 <= word.left < word.right <= width - margin + 1, word
        assert margin - 4 <= word.top < word.foot <= height - margin + 4, word
    for page in sides(card, paper):
        lines = [mark for mark in page.marks if isinstance(mark, Letters)]
        feet = np.unique([round(line.y, 2) for line in lines])
        read = np.unique([round(line.y, 2) for line in lines if line.size >= READ_PT])
        assert np.diff(feet).min() >= min(LEGEND_PT)
        assert np.diff(read).min() >= 1.05 * READ_PT


@pytest.mark.parametrize(
    ("boat_type", "said", "not_said"),
    [
        ("sailing monohull", ("Sail down,", "washboards", "Slack leg first"), ("all shafts", "bridge deck")),
        (
            "sailing multihull",
            ("Sail down,", "outside the rudders", "all shafts stopped", "bridge deck", "No test is known"),
            ("washboards", "Glass aft", "engine-room"),
        ),
        (
            "motor monohull",
            (
                "Do the engines run?",
                "Glass aft",
                "all shafts stopped",
                "Tackle on recovery line",
                "No engine?",
            ),
            ("Sail down", "washboards", "to a winch", "bridge deck", "furler"),
        ),
        (
            "motor multihull",
            ("Do the engines run?", "Glass aft", "outside the rudders", "way out upside down", "No engine?"),
            ("Sail down", "washboards", "to a winch", "designer"),
        ),
    ],
)
def test_words_are_those_of_her_hull(boat_type: str, said: Sequence[str], not_said: Sequence[str]) -> None:
    text = plain(" ".join(page_texts(pdf_bytes(sides(card_of(boat_type, "series"), "A4"), "test"))))
    for words_ in said:
        assert words_ in text
    for words_ in not_said:
        assert words_ not in text


def carrying(device: str | None, choice: MendChoice) -> MusterResult:
    """A boat whose entry says this of her device, with this plan."""
    result = rally([Boat()]).result
    fleet = result.intake.fleet
    code = -1 if device is None else CHOICES["device_type"].index(device)
    codes = {"device_type": code, "boat_type": TYPES.index("sailing monohull")}
    choices = {**fleet.choice, **{name: np.array([code], dtype=np.int8) for name, code in codes.items()}}
    plans = tuple(replace(plan, choice=choice) for plan in result.plans)
    intake = replace(result.intake, fleet=replace(fleet, choice=choices))
    return replace(result, intake=intake, plans=plans)


@pytest.mark.parametrize(
    ("device", "choice", "rig", "notice", "when"),
    [
        (SERIES, "nothing", "series", "FOR HER SERIES DROGUE.", ""),
        (SERIES, "fittings only", "series", "FOR HER SERIES DROGUE.", ""),
        (SERIES, "extend", "series", "THAT WORK IS NOT DONE YET", "once the work is done"),
        (SERIES, "replace", "series", "THAT WORK IS NOT DONE YET", "once the work is done"),
        ("none", "replace", "series", "NOT ABOARD YET", "once this rig is aboard"),
        ("none", "nothing", "series", "NOT ABOARD YET", "once this rig is aboard"),
        (
            "parachute",
            "replace",
            "series",
            "NOT ABOARD YET. Aboard: a parachute",
            "once this rig is aboard",
        ),
        ("cone drogue", "nothing", "other", "ABOARD: A CONE DROGUE. No series drogue", ""),
        ("warps", "fittings only", "other", "ABOARD: WARPS. No series drogue", ""),
        ("other", "nothing", "other", "ABOARD: ANOTHER DEVICE. No series drogue", ""),
        (None, "nothing", "series", "DOES NOT SAY WHAT IS ABOARD", "if this rig is aboard"),
    ],
)
def test_which_rig_a_card_is_for(
    device: str | None, choice: MendChoice, rig: str, notice: str, when: str
) -> None:
    (card,) = cards_of(carrying(device, choice), Policy())
    assert (card.told.rig, card.told.launch_when) == (rig, when)
    text = plain(page_texts(pdf_bytes(sides(card, "A4"), "test"))[0])
    assert notice in text
    assert ("No steps for it here." in text) == (rig == "other")
    assert ("weight down" in text) == bool(card.numbers) == bool(card.told.figures) == (rig == "series")
    assert (f"LAUNCH, {when}" in text) == bool(when)


def test_a_boat_without_figures_has_no_card() -> None:
    made = rally([Boat(), Boat(entry_no="2", reason_not_computed="no reason given")])
    assert [card.entry_no for card in cards_of(made.result, made.policy)] == ["1"]
    none = rally([Boat(groups=(), reason_not_computed="no reason given")])
    assert card_files(none.result, none.policy) == {}


def test_the_same_result_gives_the_same_bytes() -> None:
    made = rally([Boat(), Boat(entry_no="2", boat_name="Ölrausch")])
    assert card_files(made.result, made.policy) == card_files(made.result, made.policy)


def test_a_large_fleet_has_several_files(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(card_module, "CARDS_A_FILE", 2)
    made = rally([Boat(entry_no=f"{at}") for at in range(3)])
    files = card_files(made.result, made.policy)
    assert set(files) == {f"sea-cards{paper}-{at}.pdf" for paper in ("", "-letter") for at in (1, 2)}
    assert [len(page_sizes_pt(files[f"sea-cards-{at}.pdf"])) for at in (1, 2)] == [4, 2]


def test_a_folder_that_is_not_there_is_an_output_error(tmp_path: Path) -> None:
    made = rally([Boat()])
    with pytest.raises(OutputError, match="cannot be written"):
        write_cards(made.result, made.policy, tmp_path / "missing")


@pytest.mark.parametrize(
    ("name", "whole"),
    [("", True), ("Tern", True), ("Ærø Måge", True), ("海の船 🦆", True), ("<b>& \x00 ", False),
     ("שלום", True), ("W" * 60, False)],
)  # fmt: skip
def test_any_name_leaves_the_entry_number(name: str, whole: bool) -> None:
    card = replace(card_of("sailing monohull", "series"), boat_name=name)
    pages = [plain(page) for page in page_texts(pdf_bytes(sides(card, "Letter"), "test"))]
    for page in pages:
        assert page.split(" drogue card,")[0].count("888") == 1
    assert (NOT_WHOLE in pages[0]) != whole
