"""The sea cards of the demo as they are printed, against its tables, its pages and its entry list."""

from __future__ import annotations

import csv
import re
import subprocess
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest

from sizing.order.cards.sides import NOT_WHOLE, TURN
from sizing.seamanship.register import register
from sizing.words import long_date
from tests.calling import DAY, ROOT, Done
from tests.sizing.order.loft.rally import page_sizes_pt, page_texts

PAPERS_PT: Mapping[str, tuple[float, float]] = {  # ISO 216; ANSI Y14.1
    "sea-cards.pdf": (595.28, 841.89),
    "sea-cards-letter.pdf": (612.0, 792.0),
}
KNOT = 1852 / 3600  # SP 811
FOOT, POUND, POUND_FORCE = 0.3048, 0.45359237, 4.4482216152605  # SP 811


@dataclass(frozen=True)
class Printed:
    """One boat of the demo: her row of tables/sizing.csv and her two sides."""

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


def legend() -> tuple[str, ...]:
    """All that any card says of its signs, the longest first, since one may stand within another."""
    found = register()
    return tuple(sorted((*found.legend.values(), *found.meaning.values()), key=len, reverse=True))


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
    for sentence in (*legend(), TURN.format(long_date(date.fromisoformat(DAY[1]))), NOT_WHOLE):
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
            assert -0.006 <= metres - boat.of(column) < (1.01 if metres > 100 else 0.106)  # up, as a tape
            assert -1.0 <= boat.of(column) / FOOT - feet < 1.05
        out_m, out_ft = figures(r"All out, stern to weight (\d+) m \((\d+) ft\)", front)
        assert 0 <= out_m - boat.of("bridle_leg_m") - boat.of("line_length_m") < 1.01
        assert 0 <= out_ft - out_m / FOOT < 1.0
        kilos, pounds = figures(r"End weight ([\d.,]+) kg \(([\d.,]+) lb\)", front)
        assert -0.006 <= kilos - boat.of("end_weight_kg") < 0.51  # up, as scales are read
        assert -0.02 <= pounds - boat.of("end_weight_kg") / POUND < 1.01


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
        assert all(load >= 0.9999 * exact for load, exact in zip(loads, wanted, strict=True))
        assert loads == pytest.approx(wanted, rel=0.01)  # three digits, rounded up


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
        for sentence in legend():
            text = text.replace(sentence, "")
        day = f"Worked out {long_date(date.fromisoformat(DAY[1]))};"
        assert text.count(day) == 1, name
        text = text.replace(day, "")
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
