"""The sea cards of the demo as they are printed, and of boats with the longest figures."""

from __future__ import annotations

import csv
import re
import subprocess
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import product
from pathlib import Path
from xml.etree import ElementTree as ET

import numpy as np
import pytest

from sizing.errors import OutputError
from sizing.fields import CHOICES
from sizing.model import MendChoice, MusterResult
from sizing.order.cards import files as card_module
from sizing.order.cards.card import SERIES, Card, cards_of
from sizing.order.cards.files import card_files, write_cards
from sizing.order.cards.sides import LEGEND_PT, NOT_WHOLE, READ_PT, TURN, sides
from sizing.order.cards.texts import card_texts
from sizing.order.cloth.tiles import Paper
from sizing.order.loft.ink import Letters
from sizing.order.loft.paint import pdf_bytes
from tests.calling import ROOT, Done
from tests.sizing.order.fleet_builder import Boat
from tests.sizing.order.loft.rally import page_sizes_pt, page_texts, rally, words

PAPERS_PT: Mapping[str, tuple[float, float]] = {  # ISO 216; ANSI Y14.1
    "sea-cards.pdf": (595.28, 841.89),
    "sea-cards-letter.pdf": (612.0, 792.0),
}
PAPERS: Sequence[Paper] = ("A4", "Letter")
TYPES = CHOICES["boat_type"]
KNOT = 1852 / 3600  # SP 811
FOOT, POUND, POUND_FORCE = 0.3048, 0.45359237, 4.4482216152605  # SP 811
STAGES = ("decide", "ready", "launch", "lie", "wrong", "cut", "recover")


@dataclass(frozen=True)
class Printed:
    """One boat of the demo: her row of tables/sizing.csv, her row of the entry sheet, her two sides."""

    sizing: Mapping[str, str]
    front: str
    back: str

    @property
    def text(self) -> str:
        return f"{self.front} {self.back}"

    @property
    def numbered(self) -> bool:
        return "HER RIG, as worked out" in self.front

    def of(self, column: str) -> float:
        return float(self.sizing[column])


def plain(text: str) -> str:
    return " ".join(text.split())


@lru_cache(maxsize=4)
def printed(out: Path, name: str) -> tuple[Printed, ...]:
    with (out / "tables" / "sizing.csv").open(encoding="utf-8", newline="") as file:
        rows = [row for row in csv.DictReader(file) if not row["not_computed"]]
    pages = [plain(page) for page in page_texts((out / "order" / "cards" / name).read_bytes())]
    assert len(pages) == 2 * len(rows)
    return tuple(Printed(row, *pages[2 * at : 2 * at + 2]) for at, row in enumerate(rows))


@pytest.fixture(scope="module", params=list(PAPERS_PT))
def boats(request: pytest.FixtureRequest, demo_run: tuple[Path, Done]) -> tuple[Printed, ...]:
    return printed(demo_run[0], request.param)


def figures(pattern: str, text: str) -> tuple[float, ...]:
    """The figures in one place of a card, which has to be there once."""
    (found,) = re.findall(pattern, text)
    return tuple(float(part.replace(",", "")) for part in ([found] if isinstance(found, str) else found))


def test_two_sides_for_each_boat_with_figures(boats: Sequence[Printed]) -> None:
    assert len(boats) == 57
    for boat in boats:
        head = f"{boat.sizing['entry_no'].lstrip(chr(39))} "
        assert boat.front.startswith(head)
        assert boat.back.startswith(head)
        assert "side 1 of 2" in boat.front
        assert "side 2 of 2" in boat.back
    assert any("016 Étourneau" in boat.front for boat in boats)


@pytest.mark.parametrize("name", PAPERS_PT)
def test_paper_and_letters(demo_run: tuple[Path, Done], name: str) -> None:
    """All that is read at sea is at least 14 pt; what the signs mean at least 9 pt."""
    path = demo_run[0] / "order" / "cards" / name
    for paper in page_sizes_pt(path.read_bytes()):
        assert paper == pytest.approx(PAPERS_PT[name], abs=0.01)
    lines = list(lettered(path))
    assert min(size for _, size in lines) >= 9
    small = plain(" ".join(text for text, size in lines if size < 14))
    legend = card_texts().legend.values()
    for sentence in (*legend, TURN, NOT_WHOLE):
        small = small.replace(plain(sentence), "")
    assert small.strip() == ""


def lettered(path: Path) -> Iterator[tuple[str, int]]:
    """Every line of a PDF with the size of its letters, as poppler reads them."""
    command = ["pdftohtml", "-xml", "-zoom", "1", "-stdout", "-i", str(path)]
    done = subprocess.run(command, capture_output=True, check=True)
    root = ET.fromstring(done.stdout.decode())  # noqa: S314  poppler's own output
    sizes: dict[str, int] = {}
    for page in root.iter("page"):
        sizes |= {font.attrib["id"]: int(font.attrib["size"]) for font in page.iter("fontspec")}
        for text in page.iter("text"):
            yield "".join(text.itertext()), sizes[text.attrib["font"]]


def test_figures_are_those_of_the_table(boats: Sequence[Printed]) -> None:
    for boat in (boat for boat in boats if boat.numbered):
        front = boat.front
        assert figures(r" Cones (\d+) ", front) == (boat.of("cones"),)
        for name, column in (
            ("Each bridle leg", "bridle_leg_m"),
            ("Lead line", "lead_line_m"),
            ("Line, bridle to weight", "line_length_m"),
        ):
            metres, feet = figures(rf"{name} ([\d.,]+) m \((\d+) ft", front)
            assert metres == pytest.approx(boat.of(column), abs=0.06 if metres > 100 else 0.006)
            assert -0.05 <= boat.of(column) / FOOT - feet < 1.05
        out_m, out_ft = figures(r"All out, stern to weight (\d+) m \((\d+) ft\)", front)
        assert 0 <= out_m - boat.of("bridle_leg_m") - boat.of("line_length_m") < 1.01
        assert 0 <= out_ft - out_m / FOOT < 1.0
        kilos, pounds = figures(r"End weight ([\d.,]+) kg \(([\d.,]+) lb\)", front)
        assert kilos == pytest.approx(boat.of("end_weight_kg"), abs=0.006)
        assert pounds == pytest.approx(boat.of("end_weight_kg") / POUND, abs=0.02)


def test_drift_and_room_are_those_of_the_table(boats: Sequence[Printed]) -> None:
    """Room is by the upper end of the range, and half as much again [common practice, no source]."""
    for boat in (boat for boat in boats if boat.numbered):
        pattern = (
            r"one day: (\d+) nautical miles, plus current\. She drifts ([\d.]+) to ([\d.]+) kn, "
            r"(\d+) to (\d+) miles a day, in 50 kn of wind"
        )
        room, low, high, low_day, high_day = figures(pattern, boat.front)
        ends = boat.of("drift_low_mps") / KNOT, boat.of("drift_high_mps") / KNOT
        assert (low, high) == pytest.approx(ends, abs=0.061)  # the table has two decimals of m/s
        assert (low_day, high_day) == pytest.approx([24 * end for end in ends], abs=0.75)
        assert -0.4 <= room - 1.5 * 24 * ends[1] < 1.4


def test_figures_within_the_steps_are_those_above_them(boats: Sequence[Printed]) -> None:
    for boat in (boat for boat in boats if boat.numbered):
        (out_m,) = figures(r"All out, stern to weight (\d+) m", boat.front)
        for pattern in (
            r"Deeper than (\d+) m",
            r"manoeuvre\. (\d+) metres of line astern",
            r"“(\d+) metres of line with cones",
        ):
            assert figures(pattern, boat.text) == (out_m,)
        weight = figures(r"End weight ([\d.]+) kg", boat.front)
        assert figures(r"weight down, ([\d.]+) kg", boat.front) == weight
        assert figures(r"Weight last, ([\d.]+) kg", boat.back) == weight
        assert figures(r"Lead line, ([\d.]+) m", boat.back) == figures(r"Lead line ([\d.]+) m", boat.front)
        (times,) = figures(r"about (\d+) times", boat.back)
        reaches = (boat.of("line_length_m") - boat.of("lead_line_m")) / 2  # 2 m a haul [assumed]
        assert -0.01 <= times - reaches < 1.01
        loads = figures(
            r"meant for ([\d.,]+) kN \(([\d,]+) lbf\); the worst pull planned is "
            r"([\d.,]+) kN \(([\d,]+) lbf\)",
            boat.back,
        )
        attachment, design = boat.of("attachment_load_n"), boat.of("design_load_n")
        wanted = attachment / 1000, attachment / POUND_FORCE, design / 1000, design / POUND_FORCE
        assert loads == pytest.approx(wanted, rel=0.005)


def test_no_figure_stands_on_a_card_that_is_not_checked_above(boats: Sequence[Printed]) -> None:
    """Figures of the texts' own are the ten degrees of yaw [CG87 4.3] and what names sources."""
    known = [
        r"\d+ nautical miles", r"[\d.]+ to [\d.]+ kn", r"\d+ to \d+ miles a day", r"50 kn of wind",
        r"Cones \d+", r"[\d.,]+ m \([^)]*\)", r"[\d.,]+ kg \([\d.,]+ lb\)", r"\d+ metres of line",
        r"[\d.,]+ kN \([\d,]+ lbf\)", r"about \d+ times", r"(?<=She swings )10 degrees", r"\(?\bP[1-9]\b\)?",
        r"side [12](?: of 2)?",
    ]  # fmt: skip
    for boat in boats:
        name = boat.front.split(" drogue card,")[0]
        text = boat.text.replace(name, "")
        for sentence in card_texts().legend.values():
            text = text.replace(sentence, "")
        for pattern in known:
            text = re.sub(pattern, "", text)
        text = re.sub(r"(?<!\S)1?\d(?= [A-Z“])", "", text)  # numbers of steps
        assert re.findall(r".{0,20}\d.{0,20}", text) == [], name


def test_the_lee_shore_stands_before_the_launch(boats: Sequence[Printed]) -> None:
    for boat in boats:
        at = [
            boat.text.index(said)
            for said in (
                "SHOULD WE?", "Lee shore? Never.", "Clear water downwind", "GET READY", "LAUNCH",
                "LYING TO IT", "IF IT GOES WRONG", "CUT AWAY: LAST RESORT", "GET IT BACK",
            )
        ]  # fmt: skip
        assert at == sorted(at)
        assert boat.text.index("LAUNCH") < len(boat.front)


def test_the_cautions_are_on_every_card(boats: Sequence[Printed]) -> None:
    for boat in boats:
        for said in (
            "Advice, not a certificate.", "It does not say that she is safe.", "fails and injures",
            "for a surveyor", "flag state come first", "The skipper decides.", "Practise in mild weather.",
            "lines take fingers", "C: common practice, no source.", "N: nothing published is known.",
        ):  # fmt: skip
            assert said.lower() in boat.text.lower()


def test_what_is_outside_the_source_is_said(boats: Sequence[Printed]) -> None:
    outside = 0
    for boat in (boat for boat in boats if boat.numbered):
        hull = boat.sizing["source_hull"] == "outside"
        weight = boat.sizing["published_range"] != "inside"
        assert ("hull type outside the source" in boat.front.lower()) == hull
        assert ("outside the published range" in boat.front.lower()) == weight
        outside += hull + weight
    assert outside > 10


def test_no_contact_details(boats: Sequence[Printed]) -> None:
    with (ROOT / "fleet_demo" / "fleet.csv").open(encoding="utf-8-sig", newline="") as file:
        cells = [row for row in csv.reader(file) if len(row) > 5 and "@" in row[3]]
    assert len(cells) > 50
    text = " ".join(boat.text for boat in boats)
    for row in cells:
        for private in row[2:5]:
            assert not private or private not in text


def test_the_same_boats_are_called_the_same_as_on_the_page(demo_run: tuple[Path, Done]) -> None:
    """Lengths, weight and drift stand on her page in the very same words."""
    checked = 0
    for boat in printed(demo_run[0], "sea-cards.pdf"):
        pages = list((demo_run[0] / "site" / "boats").glob(f"{boat.sizing['entry_no']}-*.html"))
        if not boat.numbered or len(pages) != 1:
            continue
        page = pages[0].read_text(encoding="utf-8")
        shown = re.findall(
            r"(?:Each bridle leg|Lead line|to weight|End weight) ([\d.]+ (?:m|kg)) \(", boat.front
        )
        (drift,) = re.findall(r"She drifts ([\d.]+ to [\d.]+ kn)", boat.front)
        assert len(shown) == 5
        out = re.findall(r"stern to weight (\d+ m)", boat.front)
        for figure in {*shown, drift} - set(out):
            assert figure in page, (boat.sizing["entry_no"], figure)
        checked += 1
    assert checked > 40


def card_of(boat_type: str, rig: str, **more: object) -> Card:
    """A card with figures as long as any policy lets them be."""
    base = next(iter(cards_of(rally([Boat()]).result)))
    wide = {
        "speeds": "10.8 to 12.8 kn", "wind": "100 kn", "day_miles": "258 to 307", "clear_miles": "1,461",
        "out": "1,288 m (4,226 ft)", "out_m": "1,288", "lead": "122.9 m (403 ft 10 in)",
        "end_weight": "122.8 kg (270.8 lb)", "attachment": "288.8 kN (64,925 lbf)",
        "pull": "888.8 kN (199,810 lbf)", "reaches": "388",
    }  # fmt: skip
    assert wide.keys() == base.figures.keys()
    figures_, numbers = (wide, base.numbers) if rig == "series" else ({}, ())
    notices = (
        "FOR THE RIG ON THIS CARD. NOT ABOARD YET. Aboard is a cone drogue: nothing here is for it.",
        "Hull type outside the source; outside the published range (heavier).",
    )
    card = Card("888", "W" * 60, boat_type, rig, notices, "once this rig is aboard", numbers, figures_)
    return replace(card, **more)  # type: ignore[arg-type]


@pytest.mark.parametrize(("boat_type", "rig", "paper"), list(product(TYPES, ("series", "other"), PAPERS)))
def test_every_step_is_whole_on_one_side_and_nothing_overlaps(boat_type: str, rig: str, paper: Paper) -> None:
    card = card_of(boat_type, rig)
    data = pdf_bytes(sides(card, paper), "test")
    texts = [plain(page) for page in page_texts(data)]
    assert len(texts) == 2
    longest = card_of("", "series").figures
    for at, stage in enumerate(STAGES):
        here, there = texts[::-1] if at >= STAGES.index("lie") else texts
        hers: list[str] = []
        others: list[str] = []
        for step in card_texts().stages[stage]:
            said = plain(f"{step.key} {step.text}".format_map(longest))
            (hers if step.is_for(boat_type, rig) else others).append(said)
        assert hers
        assert [said for said in hers if here.count(said) != 1 or said in there] == []
        assert [said for said in others if said in here and not any(said in own for own in hers)] == []
    width, height = page_sizes_pt(data)[0]
    margin = 10 / 25.4 * 72
    for word in words(data):
        assert margin - 1 <= word.left < word.right <= width - margin + 1, word
        assert margin - 4 <= word.top < word.foot <= height - margin + 4, word
    for page in sides(card, paper):
        lines = [mark for mark in page.marks if isinstance(mark, Letters)]
        feet = np.unique([round(line.y, 2) for line in lines])
        read = np.unique([round(line.y, 2) for line in lines if line.size >= READ_PT])
        assert np.diff(feet).min() >= LEGEND_PT
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
            ("Do the engines run?", "Glass aft", "all shafts stopped", "Tackle or windlass", "No engine?"),
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
        (SERIES, "extend", "series", "ONCE ITS PLANNED WORK IS DONE", "once the work is done"),
        (SERIES, "replace", "series", "ONCE ITS PLANNED WORK IS DONE", "once the work is done"),
        ("none", "replace", "series", "NOT ABOARD YET", "once this rig is aboard"),
        ("none", "nothing", "series", "NOT ABOARD YET", "once this rig is aboard"),
        (
            "parachute",
            "replace",
            "series",
            "NOT ABOARD YET. Aboard is a parachute",
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
    (card,) = cards_of(carrying(device, choice))
    assert (card.rig, card.launch_when) == (rig, when)
    assert notice in card.notices[0]
    text = plain(page_texts(pdf_bytes(sides(card, "A4"), "test"))[0])
    assert notice in text
    assert ("No steps for it here." in text) == (rig == "other")
    assert ("weight down" in text) == bool(card.numbers) == bool(card.figures) == (rig == "series")
    assert (f"LAUNCH, {when}" in text) == bool(when)


def test_a_boat_without_figures_has_no_card() -> None:
    made = rally([Boat(), Boat(entry_no="2", reason_not_computed="no reason given")])
    assert [card.entry_no for card in cards_of(made.result)] == ["1"]
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
    [("", True), ("Tern", True), ("Ærø Måge", True), ("海の船", False), ("<b>& \x00 ", False),
     ("שלום", True), ("W" * 60, False)],
)  # fmt: skip
def test_any_name_leaves_the_entry_number(name: str, whole: bool) -> None:
    card = card_of("sailing monohull", "series", boat_name=name)
    pages = [plain(page) for page in page_texts(pdf_bytes(sides(card, "Letter"), "test"))]
    for page in pages:
        assert page.split(" drogue card,")[0].count("888") == 1
    assert (NOT_WHOLE in pages[0]) != whole


def test_every_sign_is_told_and_every_step_has_words() -> None:
    texts = card_texts()
    told = texts.legend["said"]
    for stage in STAGES:
        for step in texts.stages[stage]:
            assert step.key
            for sign in step.sign.split():
                assert sign in texts.legend or f"{sign}: " in told, step
