"""Papers by role of boats with any name, and of boats about whom little is known."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from sizing.audit import SPECS, findings_of, overall
from sizing.errors import OutputError
from sizing.fields import CHOICES, ON_SHEET
from sizing.model import AdvisedColumns, Standing
from sizing.order.loft.build_sheet import CHECK_LIST, points
from sizing.order.loft.lengths_shown import metres
from sizing.papers import berths, officer
from sizing.papers.claims import on_a_rule
from sizing.papers.files import call_list_files, write_papers
from sizing.papers.officer import officers_lines
from sizing.papers.scrutineer import how_to_look
from sizing.papers.scrutiny import MADE_TO, SheetRow, SheetRows, stamp
from sizing.words import open_words
from tests.sizing.order.fleet_builder import Boat
from tests.sizing.order.loft.rally import Rally, page_sizes_pt, page_texts, rally, words
from tests.sizing.revision.runs import TODAY, demo, demo_rules

HOSTILE = ("", "<b>& \x00 {{7*7}}", "שלום", "海の船", "W" * 300, "Ærø Måge", "=cmd()", "\u202eevil")


def typed(made: Rally) -> Rally:
    """The same rally with a type for each boat, as the entry list always has one."""
    fleet = made.result.intake.fleet
    code = np.full(len(fleet), CHOICES["boat_type"].index("motor multihull"), dtype=np.int8)
    number = {**fleet.number, "transom_width_m": np.full(len(fleet), 2.9), "loa_m": np.full(len(fleet), 11.6)}
    known = replace(fleet, choice={**fleet.choice, "boat_type": code}, number=number)
    result = replace(made.result, intake=replace(made.result.intake, fleet=known))
    return Rally(result, made.policy, made.catalogue)


@pytest.fixture(scope="module")
def hostile() -> Rally:
    return typed(rally([Boat(entry_no=f"{at}/../x", boat_name=name) for at, name in enumerate(HOSTILE)]))


def written(made: Rally, folder: Path) -> dict[str, bytes]:
    folder.mkdir(exist_ok=True)
    stems = [f"boat-{row}" for row in range(len(made.result.intake.fleet))]
    write_papers(made.result, made.policy, made.catalogue, stems, folder)
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in sorted(folder.rglob("*.pdf"))}


def test_any_name_is_printed_as_text_and_nothing_leaves_the_sheet(hostile: Rally, tmp_path: Path) -> None:
    files = written(hostile, tmp_path)
    assert len(files) == 2 * (2 + 3 * len(HOSTILE))  # officer's list, one part of sheets, three of each boat
    for name, data in files.items():
        assert b"/JavaScript" not in data
        assert b"/URI" not in data
        if "letter" in name:
            continue
        width, height = page_sizes_pt(data)[0]
        for word in words(data):
            assert 25.0 < word.left < word.right < width - 25.0, (name, word)
            assert 20.0 < word.top < word.foot < height - 20.0, (name, word)
    for row in range(len(HOSTILE)):
        for kind in ("sea-card", "bench-card", "surveyors-sheet"):
            assert f"{row}/../x" in page_texts(files[f"boats/boat-{row}-{kind}.pdf"])[0]
        assert len(page_sizes_pt(files[f"boats/boat-{row}-surveyors-sheet-letter.pdf"])) == 2


def test_the_same_result_gives_the_same_bytes(hostile: Rally, tmp_path: Path) -> None:
    assert written(hostile, tmp_path / "one") == written(hostile, tmp_path / "two")


def test_a_boat_without_figures_or_work_has_only_what_is_hers(tmp_path: Path) -> None:
    made = typed(
        rally([Boat(), Boat(entry_no="2", groups=()), Boat(entry_no="3", reason_not_computed="no mass")])
    )
    files = written(made, tmp_path)
    own = [
        name.removeprefix("boats/") for name in files if name.startswith("boats/") and "letter" not in name
    ]
    assert own == [
        "boat-0-bench-card.pdf", "boat-0-sea-card.pdf", "boat-0-surveyors-sheet.pdf",
        "boat-1-sea-card.pdf", "boat-1-surveyors-sheet.pdf",
    ]  # fmt: skip
    sheets = page_texts(files["scrutineers-sheets-1.pdf"])
    assert len(sheets) == 4
    assert "could not be worked out: no mass" in " ".join(sheets[3].split())


def test_boats_without_a_berth_lie_by_the_dozen() -> None:
    entries = {row: f"{row:03d}" for row in range(30)}
    parts = berths.parts_by_berth({row: "B7" if row == 29 else "" for row in range(30)}, entries)
    dozens = [f"No berth given, part {at} of 3" for at in (1, 2, 3)]
    assert [part.title for part in parts] == ["Pontoon B", *dozens]
    assert [len(part.rows) for part in parts] == [1, 12, 12, 5]
    assert sorted(row for part in parts for row in part.rows) == list(range(30))
    assert berths.pontoon_of("C-14") == "C"
    assert berths.pontoon_of(" 7 ") == "7"


def test_what_is_on_the_sheet_is_measured_for_a_check() -> None:
    measured = {spec.check.columns[0] for spec in SPECS.values() if spec.check.columns}
    assert {field.name for field in ON_SHEET} <= measured
    assert set(MADE_TO) <= {field.name for field in ON_SHEET}
    assert set(how_to_look()) == {field.name for field in ON_SHEET}


def rows_of(entry_no: str) -> dict[str, SheetRow]:
    """The rows of a boat of the demo, by what is looked at."""
    result, rules = demo(), demo_rules()
    row = list(result.intake.fleet.text["entry_no"]).index(entry_no)
    plans = {plan.row: plan for plan in result.plans}
    day = rules.policy.rally.departure or TODAY
    of = SheetRows(result.intake.fleet, result.requirements, rules.catalogue, plans, day)
    return {one.name: one for one in of.rows(findings_of(result.checks, result.intake.fleet, row))}


def test_what_is_needed_can_be_read_off_a_rule_and_the_ropes_stand_in_one_row() -> None:
    """No rule shows “11.8 mm (0.466 in)”; of a drogue that is yet to be made “2012 or later” was asked."""
    assert on_a_rule(0.0118) == "12 mm (½ in)"
    assert on_a_rule(0.0118, at_most=True) == "11 mm (7/16 in)"
    new = rows_of("002")
    assert new["Cones torn or missing"].needed == "none"
    assert new["Length of each leg"].needed == "4 m (13 ft 2 in)", "never to the short side"
    assert new["Year the device was made"].needed == "the year it is made"
    for entry_no in ("001", "002", "004", "008", "024"):
        rows = rows_of(entry_no)
        assert len(rows) <= 12, entry_no
        assert sum("thickness" in name.lower() for name in rows) == 1, entry_no
        for one in rows.values():
            assert not re.search(r"at (least|most) [\d.]+ mm \(\d+\.\d+ in\)", one.needed), entry_no
            assert ("the count hangs" not in one.needed) or "year" not in one.name.lower(), entry_no


def test_how_to_look_is_said_to_who_holds_the_rule() -> None:
    """“Say that it is set from the stern” is the skipper's to say."""
    assert not [text for text in how_to_look().values() if "say " in text.lower() or "give " in text.lower()]


def test_a_shackle_is_told_as_it_is_stamped() -> None:
    """A shackle of EN 13889 breaks at five times its working load limit: 2 t, 98 kN [memory]."""
    assert stamp(5 * 2000 * 9.80665) == "WLL 2 t, or MBL 98.1 kN"


def test_the_officers_list_counts_what_the_overview_counts() -> None:
    """Entry 006 had “nothing to do” here and “1 advised” there: what is below the advised limit counts."""
    result, place = demo(), next(at for at, c in enumerate(demo().checks) if c.check.id == "attachment.load")
    met = result.checks[place].standing == Standing.MEETS
    short = np.where(met, Standing.SHORT, Standing.NOT_APPLICABLE).astype(np.int8)
    told = replace(result.checks[place], advised=AdvisedColumns(2 * result.checks[place].required, short))
    result = replace(result, checks=(*result.checks[:place], told, *result.checks[place + 1 :]))
    whole = overall(result.checks, result.intake.fleet)
    lines = {str(line[1]): str(line[4]) for line in officers_lines(result, demo_rules().policy)}
    for row, entry in enumerate(result.intake.fleet.text["entry_no"]):
        counts = int(whole.open_shalls[row]), int(whole.open_shoulds[row])
        assert lines[str(entry)].endswith(f": {open_words(*counts, 'officer')}"), entry
    assert "checks open: none required, 1 advised" in lines["006"]


def test_the_officers_list_prints_whole_who_is_next(
    hostile: Rally, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As long as the longest of the demo: 320 letters."""
    said = f"skipper: {'Look along both legs of the bridle and say their state, as found. ' * 4}End of it."
    monkeypatch.setattr(officer, "_next", lambda _: said)
    files = written(hostile, tmp_path)
    for name in ("officers-list.pdf", "officers-list-letter.pdf"):
        told = " ".join(" ".join(page_texts(files[name])).split())
        assert told.count("End of it.") == len(HOSTILE), name


def test_a_bench_card_of_a_whole_drogue_is_short_and_has_everything(tmp_path: Path) -> None:
    """Each cone's mark, every joint, every check, the cautions; a side of Letter is 18 mm shorter than A4."""
    made = typed(rally([Boat("1", cones=(44, 44, 51), ropes=(9, 7, 5))]))
    files = written(made, tmp_path)
    cautions = [caution.text.split()[0] for caution in points()["caution"]]
    for name, most in (("boat-0-bench-card.pdf", 3), ("boat-0-bench-card-letter.pdf", 4)):
        sides = page_texts(files[f"boats/{name}"])
        assert len(sides) <= most, name
        text = " ".join(" ".join(sides).split())
        for told in ("Bag label", "What joins what", CHECK_LIST, "Built by", *cautions):
            assert told in text, told
        for number in range(1, 140):
            assert f" {number} " in text, number


def test_a_bench_card_says_how_long_each_rope_is_from_eye_to_eye_and_what_it_is_of(tmp_path: Path) -> None:
    """Legs and lead line were told as cut alone, the rope by its number in the list."""
    made = typed(rally([Boat("1", cones=(44, 44, 51), ropes=(9, 7, 5))]))
    text = " ".join(" ".join(page_texts(written(made, tmp_path)["boats/boat-0-bench-card.pdf"])).split())
    needs = made.result.requirements
    for length_m in (float(needs.bridle_leg_m[0]), float(needs.lead_length_m[0])):
        assert f"{metres(length_m)} m" in text
    assert "20 mm nylon double" in text
    assert not re.search(r"NDB-\d+", text.partition("Marks for the cones")[0])
    assert "hour" in text
    assert "has not done it before" in text
    assert not re.search(r"\d block\b(?<!1 block)", text)
    assert not re.search(r"\(\d+\.\d+ in\)", text.partition("What joins what")[0]), (
        "a rule shows no decimals of an inch"
    )


def test_telephone_numbers_stand_on_the_officers_list_alone(hostile: Rally, tmp_path: Path) -> None:
    calls = page_texts(call_list_files(hostile.result, hostile.policy)["telephone-list.pdf"])
    assert "+00 000 0000" in calls[0]
    for data in written(hostile, tmp_path).values():
        assert "+00 000" not in " ".join(page_texts(data))


def test_a_folder_that_is_not_there_is_an_output_error(hostile: Rally, tmp_path: Path) -> None:
    (tmp_path / "boats").mkdir()
    (tmp_path / "officers-list.pdf").mkdir()
    with pytest.raises(OutputError, match="cannot be written"):
        write_papers(hostile.result, hostile.policy, hostile.catalogue, ["x"] * len(HOSTILE), tmp_path)
