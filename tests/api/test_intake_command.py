"""A club's own sheet, from its first look to next week's export, as somebody types the commands."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest
from typer.testing import CliRunner

from api.command_line import app
from sizing.errors import InputError

HEADER = ["Nr", "Boot", "Bootstyp", "LüA (m)", "Heck", "Verdrängung beladen (t)", "Material"]
BOATS = [[str(at), f"Boot {at}", "Segelyacht", "11.58", "2.9", "8.4", "GFK"] for at in range(1, 5)]


def write(path: Path, rows: list[list[str]]) -> Path:
    with path.open("w", newline="", encoding="utf-8") as handle:
        csv.writer(handle).writerows(rows)
    return path


def do(*arguments: str | Path, code: int = 0) -> str:
    result = CliRunner().invoke(app, [str(one) for one in arguments], catch_exceptions=False)
    assert result.exit_code == code, result.output
    return " ".join(result.output.split())


def run(sheet: Path, out: Path, *more: str | Path, code: int = 0) -> str:
    quiet = ("--make", "tables", "--samples", "0", "--today", "2026-11-25")
    return do("run", sheet, "--out", out, *quiet, *more,
              code=code)  # fmt: skip


def test_columns_are_confirmed_once_and_next_week_s_export_just_works(tmp_path: Path) -> None:
    sheet = write(tmp_path / "liste.csv", [HEADER, *BOATS])
    said = do("intake", sheet, code=3)
    assert "No column is transom_width, so the bridles of all boats wait for it." in said
    assert "“material” can mean several things, and “GFK” is no answer" in said
    assert not (tmp_path / "liste.columns.toml").exists()
    out = tmp_path / "out"
    assert "note: No column is transom_width, so the bridles" in run(sheet, out)
    unsized = write(tmp_path / "kurz.csv", [row[:5] for row in (HEADER, *BOATS)])
    with pytest.raises(InputError, match="no column is displacement"):
        do("intake", unsized, "--accept")
    said = do("intake", sheet, "--use", "Heck=transom_width in m", "--accept")
    assert "8,400 kg (18,519 lb)" in said
    assert "rows in 4 = accepted 4 + rejected 0" in do("check", sheet)
    assert "rows in 4 = accepted 4" in run(sheet, out)
    # Next week: another file name, another folder, no profile beside it, one column renamed.
    later = tmp_path / "later"
    later.mkdir()
    changed = ["Hull" if cell == "Material" else cell for cell in HEADER]
    said = run(write(later / "export.csv", [changed, *BOATS]), out)
    assert "columns as confirmed liste.columns.toml" in said
    assert "rows in 4 = accepted 4" in said
    assert "“Hull” is not used: it is new since the columns were confirmed." in said
    assert do("publish", "--out", out, "--today", "2026-11-25").startswith("made anew")


def test_mended_rows_go_back_into_the_whole_list(tmp_path: Path) -> None:
    header = ["Entry no", "Yacht", "Boat type", "LOA", "Transom", "Displacement"]
    boats = [[str(at), f"Boat {at}", "sloop", "11.58 m", "2.9 m", "8.4 t"] for at in range(1, 9)]
    boats[2][5] = boats[4][3] = "?"
    sheet = write(tmp_path / "fleet.csv", [header, *boats])
    out = tmp_path / "out"
    run(sheet, out, code=3)
    rejects = out / "tables" / "rejects.csv"
    rows = list(csv.reader(rejects.read_text("utf-8-sig").splitlines()))
    assert len(rows) == 3
    rows[1][rows[0].index("Displacement")], rows[2][rows[0].index("LOA")] = "8.4 t", "11.58 m"
    mended = write(tmp_path / "rejects.csv", rows)
    assert "dry run: nothing was written" in run(sheet, out, "--mended", mended, "--dry-run")
    assert not (tmp_path / "fleet-mended.csv").exists()
    said = run(sheet, out, "--mended", mended)
    assert "2 mended rows of rejects.csv are put into fleet.csv: entry 3 (row 4), 5 (row 6)" in said
    assert "rows in 8 = accepted 8 + rejected 0" in said
    with pytest.raises(InputError, match=r"fleet-mended\.csv stands beside"):
        run(sheet, out, "--mended", mended)
