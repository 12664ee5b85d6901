"""The sizing table says nothing of a boat that has no figures."""

from __future__ import annotations

import csv
from decimal import Decimal
from pathlib import Path

from sizing.audit import findings_of, sentence
from sizing.frames import requirements_frame
from sizing.intake import read_fleet
from sizing.story import load_rules, muster_intake
from sizing.tables import write_tables
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


def test_every_finding_stands_in_its_table_with_her_own_remedy_and_figures(tmp_path: Path) -> None:
    """Boats alike in some of what a remedy is made from, not in all; figures against exact decimals."""
    boats = [
        f"{row},Boat {row},sailing monohull,12.2 m,10.8 m,3.9 m,2.8 m,{9000 + 700 * (row // 2)} kg,"
        f"{('', '5 kg', '14 kg')[row % 3]},{('', '9 m')[row % 2]}"
        for row in range(1, 13)
    ]
    head = HUGE.partition("\n")[0] + ",end_weight,lead_line_length\n"
    intake = read_fleet((head + "\n".join(boats)).encode(), "fleet.csv", today=TODAY)
    rules = load_rules()
    result = muster_intake(intake, rules, today=TODAY)
    assert len(intake.fleet) == len(boats)
    write_tables(result, rules.catalogue, tmp_path)
    with (tmp_path / "findings.csv").open(encoding="utf-8", newline="") as file:
        table = list(csv.DictReader(file))
    findings = [one for row in range(len(boats)) for one in findings_of(result.checks, intake.fleet, row)]
    assert len({row["sentence"] for row in table}) > 20
    for row, finding in zip(table, findings, strict=True):
        assert (row["check"], row["standing"]) == (finding.check.id, finding.standing.words)
        told = finding.is_open or finding.below_advised
        assert row["remedy"] == finding.advice
        assert row["sentence"] == (sentence(finding, "her") if told else "")
        assert row["asks"] == finding.check.sentence
        assert (row["required"] == "") is (finding.required is None)
        places = {"m": 4, "N": 0}.get(row["unit"], 3)
        if finding.required is not None:
            assert abs(Decimal(row["required"]) - Decimal(finding.required)) <= Decimal("0.5000001").scaleb(
                -places
            )
            assert row["required"] == f"{Decimal(row['required']).normalize():f}"
