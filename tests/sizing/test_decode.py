"""Encodings, files that are no table, and the limits of size."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest

from sizing.errors import InputError
from sizing.intake import Limits, read_fleet
from tests.sizing.intake.sheets import TODAY, boat, read, sheet

NAME = "Lærke Ørn"
TEXT = sheet(boat(boat_name=NAME)).decode()


@pytest.mark.parametrize(
    "data",
    [
        TEXT.encode("utf-8"),
        TEXT.encode("utf-8-sig"),
        TEXT.encode("utf-16"),
        TEXT.encode("utf-16-le"),
        TEXT.encode("utf-16-be"),
        b"\xfe\xff" + TEXT.encode("utf-16-be"),
        TEXT.encode("utf-32"),
        TEXT.encode("cp1252"),
    ],
    ids=["utf-8", "utf-8 with mark", "utf-16", "le", "be", "be with mark", "utf-32", "windows-1252"],
)
def test_encodings_give_the_same_boat(data: bytes) -> None:
    entry = read(data).fleet.entry(0)
    assert (entry.entry_no, entry.boat_name, entry.loa_m) == ("017", NAME, 11.6)


def test_a_guess_of_the_encoding_is_said() -> None:
    assert any("Windows-1252" in note for note in read(TEXT.encode("cp1252")).file_notes)
    assert not any("read as" in note and "UTF" in note for note in read(TEXT.encode()).file_notes)


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "empty"),
        (b" \r\n\t\n", "empty"),
        (b"\xd0\xcf\x11\xe0" + b"x" * 600, "password"),
        (b"%PDF-1.7\nx", "PDF"),
        (b"<!DOCTYPE html><html></html>", "web page"),
        (b"PK\x03\x04rubbish", "damaged"),
        (b"entry_no,boat_name\n1,a\0b\n", "line 2 has a zero byte"),
        (bytes(range(1, 32)) * 50, "not text"),
        (b"one line of prose without any table in it", "no table"),
        (b"a,b,c\n1,2,3\n4,5,6\n", "not one header is known"),
    ],
)
def test_files_that_cannot_be_used(data: bytes, words: str) -> None:
    with pytest.raises(InputError, match=words):
        read(data)


def test_a_header_alone_is_refused() -> None:
    with pytest.raises(InputError, match="not one boat"):
        read(TEXT.splitlines()[0].encode() + b"\n")


def test_a_large_file_is_refused_before_it_is_read(tmp_path: Path) -> None:
    path = tmp_path / "fleet.csv"
    with path.open("wb") as stream:
        stream.truncate(2_000_000_000)  # sparse: no disk is used, and reading it all would be noticed
    with pytest.raises(InputError, match="2,000 MB"):
        read_fleet(path, "fleet.csv", today=TODAY)
    with pytest.raises(InputError, match="at most"):
        read_fleet(b"x" * 101, "fleet.csv", today=TODAY, limits=Limits(max_bytes=100))


def test_a_missing_file_is_refused(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="cannot be opened"):
        read_fleet(tmp_path / "none.csv", "none.csv", today=dt.date(2026, 6, 1))


@pytest.mark.parametrize("bad", ["a\x07b", "a\x1bb", "a\x7fb", "a\x85b", "a\ufffdb"])
def test_signs_that_are_no_text_reject_the_row(bad: str) -> None:
    result = read(sheet(boat(), boat(entry_no="018", notes=bad), boat(entry_no="019", notes="good")))
    assert [(row.row_no, row.errors[0].code) for row in result.rejected] == [(3, "bad_character")]


def test_half_of_a_character_rejects_the_row() -> None:
    text = sheet(boat(), boat(entry_no="018", notes="X")).decode()
    data = text.encode("utf-16-le").replace("X".encode("utf-16-le"), b"\x00\xd8")
    assert [row.errors[0].code for row in read(b"\xff\xfe" + data).rejected] == ["bad_character"]


def test_too_many_rows_are_refused() -> None:
    data = sheet(boat(), boat(entry_no="018"), boat(entry_no="019"))
    with pytest.raises(InputError, match="more than 2 rows"):
        read_fleet(data, "fleet.csv", today=TODAY, limits=Limits(max_rows=2))
