"""Free notes are for the officer alone: people write names, addresses and spelled-out mail into them."""

from __future__ import annotations

import json
from pathlib import Path

from api.judging.run import Engine
from api.running import RunRequest, run_fleet
from sizing.intake import read_fleet
from tests.api.running import DEMO, TODAY, settings, sheet

NOTE = "Ring Jane first: jane(at)club.example, 12 Quay Road"
LATER = "Moved, now 7 Mill Lane, bo (at) club.example"
OFFICERS_OWN = {"tables/rejects.csv", "season.sqlite"}


def noted(words: str) -> bytes:
    """The small list, every boat with this note, and a boat that is rejected with it."""

    def write(cells: dict[str, str]) -> None:
        cells["Remarks"] = words
        if cells["Entry No"] == "006":
            cells["Transom width"] = ""

    return sheet(change=write)


def run(folder: Path, fleet: bytes) -> Path:
    folder.mkdir(exist_ok=True)
    (folder / "fleet.csv").write_bytes(fleet)
    run_fleet(
        RunRequest(
            folder / "fleet.csv", None, DEMO / "prices.csv", folder / "out", None, TODAY, 0
        )
    )  # fmt: skip
    return folder / "out"


def test_a_note_stands_in_no_output_but_the_officers_own(tmp_path: Path) -> None:
    first = run(tmp_path / "season", noted(NOTE))
    for out in (first, run(tmp_path / "season", noted(LATER))):
        told = {
            path.relative_to(out).as_posix()
            for path in out.rglob("*")
            if path.is_file()
            and any(words in path.read_bytes() for words in (b"club.example", b"12 Quay", b"7 Mill"))
        }
        assert told <= OFFICERS_OWN
        assert (out / "tables" / "rejects.csv").read_text().count("Transom") > 0
    changes = (first / "tables" / "changes.txt").read_text()
    assert (first / "site" / "changes.html").is_file()
    assert "notes: changed" in changes  # that it changed is told, and nothing of what it says


def test_a_note_takes_no_word_out_of_any_other_text(tmp_path: Path) -> None:
    """Contact details are taken out wherever they stand; a note of one word must not do that."""
    out = run(tmp_path / "run", noted("Grey Plover"))
    page = next((out / "site" / "boats").glob("002-*.html")).read_text()
    assert "Grey Plover" in page
    assert "Pellarn 34" in page
    assert "[contact left out]" not in page


def test_the_interface_is_not_told_of_a_note(tmp_path: Path) -> None:
    engine = Engine.of(settings(tmp_path, strike_samples=None))
    fleet = engine.judged(read_fleet(noted(NOTE), "fleet.csv", today=TODAY), {}, TODAY)
    for row in range(len(fleet.keys)):
        docs = fleet.documents(row)
        said = json.dumps([docs.document, docs.requirement, docs.findings, fleet.cells[row].as_json()])
        assert "Quay" not in said
