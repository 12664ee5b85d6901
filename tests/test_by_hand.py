"""The three boats of fleet_demo/by_hand.md: the figures worked out there are those of the program."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path

import pytest

from fleet_demo import fleet_csv, policy_toml, prices_csv
from sizing.audit import findings_of
from sizing.drogue.strike_fleet import StrikePlan
from sizing.model import MusterResult, Standing
from sizing.muster import RallyRules, load_rules, muster
from sizing.tables import sizing_table

PAGE = (Path(__file__).resolve().parent.parent / "fleet_demo" / "by_hand.md").read_text(encoding="utf-8")
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


@pytest.fixture(scope="module")
def run() -> tuple[MusterResult, RallyRules]:
    rules = load_rules(policy_toml(), prices_csv())
    once = StrikePlan(samples=0, histories=False)
    return muster(fleet_csv(), rules, today=date(2026, 11, 25), strikes=once), rules


def tables() -> list[tuple[str, str, str]]:
    found = []
    for entry, part in re.findall(r"## (\d{3}) .+?\n(.+?)(?=\n## |\Z)", PAGE, re.DOTALL):
        for figure, _, program in re.findall(r"^\| (.+?) \| (.+) \| (.*?) ?\|$", part, re.MULTILINE):
            if program and program not in {"program", "---"}:
                found.append((entry, figure, program))
    return found


def test_the_page_has_its_tables() -> None:
    assert len(tables()) >= 15


@pytest.mark.parametrize(("entry", "figure", "program"), tables())
def test_by_hand(run: tuple[MusterResult, RallyRules], entry: str, figure: str, program: str) -> None:
    result, rules = run
    table = sizing_table(result, rules.catalogue).set_index("entry_no")
    name = next(column for words, column in COLUMNS.items() if figure.startswith(words))
    printed = float(table.loc[entry, name])  # type: ignore[arg-type]
    shown = program.split(maxsplit=1)[0]
    last_digit = 10.0 ** -len(shown.partition(".")[2])
    assert printed == pytest.approx(float(shown), abs=0.51 * last_digit)


def standings(run: tuple[MusterResult, RallyRules], entry: str) -> dict[str, Standing]:
    result, _ = run
    row = result.intake.fleet.text["entry_no"].to_list().index(entry)
    return {f.check.id: f.standing for f in findings_of(result.checks, result.intake.fleet, row)}


def test_honest_mistake_has_the_three_open_shalls_the_page_names(
    run: tuple[MusterResult, RallyRules],
) -> None:
    found = standings(run, "024")
    for check in ("drag.cone-count", "attachment.load", "end-weight.mass"):
        assert found[check] is Standing.SHORT
    assert found["data.displacement-basis"] is Standing.SHORT


def test_half_a_loaf_gets_the_section_the_page_works_out(run: tuple[MusterResult, RallyRules]) -> None:
    result, _ = run
    row = result.intake.fleet.text["entry_no"].to_list().index("004")
    plan = result.plans[row]
    assert (plan.choice, plan.cones_to_make) == ("extend", 52)
    rope = [p for p in result.order.pieces if p.row == row and p.kind == "rope"]
    assert [p.length_m for p in rope] == [27.7]


def test_an_old_line_is_unproven_and_the_strike_finds_it_short(run: tuple[MusterResult, RallyRules]) -> None:
    found = standings(run, "008")
    assert found["line.strength-residual"] is Standing.UNPROVEN
    assert found["bridle.strength-residual"] is Standing.UNPROVEN
    assert found["strike.bridle"] is Standing.SHORT
