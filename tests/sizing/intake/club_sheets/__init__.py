"""Sixty entry lists as clubs export them, with the truth about every boat: invented, from one seed.

Each has the language, wordings, units, decimal sign, order of columns and ballast of a club of its own. The
wordings are those of `header_corpus.toml`, which was written apart from the program's list.
"""

from __future__ import annotations

import csv
import io
import random
import tomllib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

import openpyxl

SEED: Final = 1616
SHEETS: Final = 60
BOATS: Final = 12
CORPUS: Final = tomllib.loads(
    Path(__file__).parents[1].joinpath("header_corpus.toml").read_text(encoding="utf-8")
)
_TYPES: Final = {
    0: ("sloop", "Segelyacht", "voilier", "zeiljacht", "velero", "veleiro", "barca a vela", "segelbåt",
        "sejlbåd", "seilbåt", "monohull", "alu yacht", "Ketch", "GRP sloop"),
    1: ("catamaran", "Katamaran", "trimaran", "multicoque", "catamarán", "catamarã", "catamarano",
        "flerskrov"),
    2: ("motor yacht", "Motorboot", "vedette", "motorjacht", "barco a motor", "motorbåt", "trawler"),
}  # fmt: skip
_NAMES: Final = (
    "Grey Plover", "Möwe", "Krähe", "Étoile", "Sjøfugl", "Ærlig", "Vía Láctea", "Água Viva", "Ölrausch",
    "Half Tide", "Lantern", "Gull's Way", "No. 7", "Salt, Ledger", "Ça Va", "Nordlys",
)  # fmt: skip
_BALLAST: Final = {
    "T-shirt size": ("L", "M", "XL", ""), "Paid": ("yes", "no", ""), "Home port": ("Aldermoyle", "Vennor"),
    "MMSI": ("000000000", ""), "Draft (m)": ("1.9", "2.2"), "Crew": ("2", "4", "6"),
    "Year": ("1998", "2004", "2021"), "Material": ("GRP", "steel", "alu"), "State": ("NY", "ME"),
    "Insurance": ("yes", ""), "Category": ("Cruising", "Racing"), "Sail area (m2)": ("78", "92"),
    "Inspection": ("March", "no"), "Engine": ("30 hp", "50 hp"),
}  # fmt: skip
_FEET: Final = 0.3048
_POUND: Final = 0.45359237


@dataclass(frozen=True)
class Truth:
    """One boat as she is."""

    entry_no: str
    name: str
    type_code: int
    loa_m: float
    beam_m: float
    transom_m: float
    displacement_kg: float
    basis: str | None


@dataclass(frozen=True)
class ClubSheet:
    """One list: its file, and its boats in the order of the rows."""

    filename: str
    data: bytes
    boats: tuple[Truth, ...]


@dataclass(frozen=True)
class _Quantity:
    """How a club writes one quantity: header, figure, and where the unit stands."""

    header: str
    figures: tuple[str, ...]
    below: str


def club_sheets() -> Iterator[ClubSheet]:
    """Yield all sheets, the same ones each time."""
    for number in range(SHEETS):
        yield _sheet(number, random.Random(SEED + number))  # noqa: S311  no secret


def _sheet(number: int, chance: random.Random) -> ClubSheet:
    comma = chance.random() < 0.4
    units_below = chance.random() < 0.15
    basis = chance.choice((None, None, "loaded", "light"))
    padded = chance.random() < 0.5
    boats = [_boat(at, chance, basis, padded=padded) for at in range(1, BOATS + 1)]
    us = chance.random() < 0.3
    length, mass = (
        (("ft", _FEET), ("lb", _POUND)) if us else (("m", 1.0), chance.choice((("kg", 1.0), ("t", 1000.0))))
    )
    columns: list[_Quantity] = [
        _plain(chance.choice(_bare("entry_no")), [one.entry_no for one in boats]),
        _plain(chance.choice(_bare("boat_name")), [one.name for one in boats]),
    ]
    rest: list[_Quantity] = [
        _plain(chance.choice(_bare("boat_type")), [chance.choice(_TYPES[one.type_code]) for one in boats]),
    ]
    below = units_below
    for name, values, (unit, factor), decimals in (
        ("loa", [one.loa_m for one in boats], length, 2), ("beam", [one.beam_m for one in boats], length, 2),
        ("transom_width", [one.transom_m for one in boats], length, 2),
        (f"displacement.{basis}" if basis else "displacement", [one.displacement_kg for one in boats], mass,
         0 if mass[1] < 1000 else 3),
    ):  # fmt: skip
        figures = [_figure(value / factor, decimals, comma=comma) for value in values]
        rest.append(_with_unit(chance, _bare(name), figures, unit, below=below))
    for title in chance.sample(sorted(_BALLAST), 4):
        rest.append(_plain(title, [chance.choice(_BALLAST[title]) for _ in boats]))
    if chance.random() < 0.5:
        rest.append(_plain(chance.choice(_bare("skipper")), ["A. Person"] * BOATS))
        rest.append(_plain(chance.choice(_bare("email")), ["person@boat.example"] * BOATS))
    chance.shuffle(rest)
    columns += rest
    rows = [[one.header for one in columns]]
    if units_below:
        rows.append([one.below for one in columns])
    rows += [[one.figures[at] for one in columns] for at in range(BOATS)]
    if chance.random() < 0.3:
        rows = [["Entries 2026"], [], *rows]
    if number % 3 == 2:
        return ClubSheet(f"club-{number:02}.xlsx", _workbook(rows), tuple(boats))
    delimiter = ";" if comma else chance.choice((",", ",", "\t", ";"))
    encoding = chance.choice(("utf-8", "utf-8-sig", "cp1252", "utf-16"))
    text = io.StringIO(newline="")
    csv.writer(text, delimiter=delimiter).writerows(rows)
    return ClubSheet(f"club-{number:02}.csv", text.getvalue().encode(encoding), tuple(boats))


def _boat(at: int, chance: random.Random, basis: str | None, *, padded: bool) -> Truth:
    """A boat within the usual ratios of her type."""
    code = chance.choices((0, 1, 2), (8, 2, 1))[0]
    loa = round(chance.uniform(9.0, 15.0), 1)
    beam = round(loa * {0: 0.32, 1: 0.56, 2: 0.33}[code] * chance.uniform(0.95, 1.05), 2)
    transom = round(beam * {0: 0.7, 1: 0.9, 2: 0.8}[code] * chance.uniform(0.95, 1.05), 2)
    ratio = {0: 220.0, 1: 100.0, 2: 240.0}[code] * chance.uniform(0.85, 1.15)
    tons = ratio * (0.01 * 0.9 * loa / _FEET) ** 3  # displacement-length ratio, long tons
    name = f"{chance.choice(_NAMES)} {at}"
    return Truth(
        f"{at:03}" if padded else str(at),
        name,
        code,
        loa,
        beam,
        transom,
        float(round(tons * 1016.0469, -1)),
        basis,
    )


def _bare(name: str) -> list[str]:
    """Wordings of a column without a unit in them; one slip of the pen would stand in every sixth sheet."""
    units = ("in ", "feet", "metres", "i fod", "en ")
    return [
        one
        for one in CORPUS[name]
        if one != "Diplacement"
        and not any(sign in one for sign in "([{/,")
        and not any(f" {word}" in one.lower() for word in units)
    ]


def _plain(header: str, cells: Sequence[str]) -> _Quantity:
    return _Quantity(header, tuple(cells), "")


def _with_unit(
    chance: random.Random, wordings: Sequence[str], figures: Sequence[str], unit: str, *, below: bool
) -> _Quantity:
    word = chance.choice(wordings)
    if below:
        return _Quantity(word, tuple(figures), unit)
    written = {"m": ("m", "metres", "M"), "ft": ("ft", "feet", "FT"), "kg": ("kg", "KG", "kgs"),
               "lb": ("lb", "lbs"), "t": ("t", "tonnes")}[unit]  # fmt: skip
    style = chance.choice(("({})", "[{}]", " {}", ", {}", "_{}", "cell"))
    said = chance.choice(written)
    if style == "cell":
        return _Quantity(word, tuple(f"{figure} {said.lower()}" for figure in figures), "")
    return _Quantity(f"{word}{' ' if style[0] in '([' else ''}{style.format(said)}", tuple(figures), "")


def _figure(value: float, decimals: int, *, comma: bool) -> str:
    text = f"{value:.{decimals}f}"
    return text.replace(".", ",") if comma else text


def _workbook(rows: Sequence[Sequence[str]]) -> bytes:
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.title = "Entries"
    for row in rows:
        sheet.append(list(row))
    stream = io.BytesIO()
    book.save(stream)
    return stream.getvalue()
