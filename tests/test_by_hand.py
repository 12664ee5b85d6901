"""The three boats of fleet_demo/by_hand.md: the figures worked out there are those of the program."""

from __future__ import annotations

import csv
import re
from pathlib import Path

import pytest

from tests.calling import ROOT, Done

PAGE = (ROOT / "fleet_demo" / "by_hand.md").read_text(encoding="utf-8")
COLUMNS = {
    "displacement used": "displacement_kg",
    "cones": "cones",
    "design load": "design_load_n",
    "each attachment": "attachment_load_n",
    "line, new strength": "lead_line_mm",
    "her line when new": "lead_line_mm",
    "bridle leg": "bridle_leg_m",
    "end weight": "end_weight_kg",
    "whole line": "line_length_m",
}


def tables() -> list[tuple[str, str, str]]:
    found = []
    for entry, part in re.findall(r"## (\d{3}) .+?\n(.+?)(?=\n## |\Z)", PAGE, re.DOTALL):
        for figure, _, program in re.findall(r"^\| (.+?) \| (.+) \| (.*?) ?\|$", part, re.MULTILINE):
            if program and program not in {"program", "---"}:
                found.append((entry, figure, program))
    return found


def test_the_page_has_its_tables() -> None:
    assert len(tables()) >= 15


def of_entry(demo_run: tuple[Path, Done], table: str, entry: str) -> list[dict[str, str]]:
    with (demo_run[0] / table).open(encoding="utf-8-sig", newline="") as handle:
        return [row for row in csv.DictReader(handle) if row["entry_no"] == entry]


@pytest.mark.parametrize(("entry", "figure", "program"), tables())
def test_by_hand(demo_run: tuple[Path, Done], entry: str, figure: str, program: str) -> None:
    (row,) = of_entry(demo_run, "tables/sizing.csv", entry)
    name = next(column for words, column in COLUMNS.items() if figure.startswith(words))
    shown = program.split(maxsplit=1)[0]
    last_digit = 10.0 ** -len(shown.partition(".")[2])
    assert float(row[name]) == pytest.approx(float(shown), abs=0.51 * last_digit)


def standings(demo_run: tuple[Path, Done], entry: str) -> dict[str, str]:
    return {row["check"]: row["standing"] for row in of_entry(demo_run, "tables/findings.csv", entry)}


def test_honest_mistake_has_the_three_open_shalls_the_page_names(demo_run: tuple[Path, Done]) -> None:
    found = standings(demo_run, "024")
    assert [found[check] for check in ("drag.cone-count", "attachment.load")] == ["short", "short"]
    assert found["attachment.structure"] == "unproven"
    assert found["end-weight.mass"] == "meets"
    assert found["data.displacement-basis"] == "short"


def test_half_a_loaf_gets_the_section_the_page_works_out(demo_run: tuple[Path, Done]) -> None:
    kit = of_entry(demo_run, "order/kits.csv", "004")
    rope = [(row["purpose"], row["length_m"]) for row in kit if row["kind"] == "rope"]
    assert rope == [("extension for 52 cones", "27.700")]
    assert [row["quantity"] for row in kit if row["kind"] == "cone"] == ["52"]


def test_a_line_past_its_age_is_short_whatever_its_size(demo_run: tuple[Path, Done]) -> None:
    found = standings(demo_run, "008")
    assert found["line.strength-residual"] == "short"
    assert found["bridle.strength-residual"] == "short"
