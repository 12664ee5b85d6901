"""Boats of one design held against each other: a slip between kg and lb inside the plausible band."""

from __future__ import annotations

import pytest

from sizing.model import IntakeResult
from tests.sizing.intake.sheets import boat, read_boats

# 4,200 kg and 9,260 kg (2.2046 times as much [SP 811]) both give a usual displacement-length ratio here.
SHAPE = {"loa": "10.4 m", "lwl": "8.8 m", "beam": "3.4 m", "transom_width": "2.5 m"}


def fleet(*masses: str, design: str = "Pellarn 34", lengths: dict[int, str] | None = None) -> IntakeResult:
    boats = [
        boat(
            **SHAPE | {"loa": (lengths or {}).get(place, SHAPE["loa"])},
            entry_no=f"{place:03}", boat_name=f"Boat {place}", design=design, displacement=mass,
        )
        for place, mass in enumerate(masses)
    ]  # fmt: skip
    return read_boats(*boats)


def said(result: IntakeResult) -> dict[int, str]:
    remarks = [one for one in result.fleet.remarks if one.code == "sister_ships"]
    return {int(row): one.sentence_of(int(row)) or "" for one in remarks for row in one.rows}


def test_neither_figure_alone_looks_unusual() -> None:
    for mass in ("4,200 kg", "9,260 kg"):
        assert [one.code for one in fleet(mass).fleet.remarks if one.kind == "warning"] == []


def test_with_one_sister_both_are_named_and_none_rejected() -> None:
    result = fleet("4,200 kg", "9,260 kg")
    assert len(result.fleet) == 2
    assert set(said(result)) == {0, 1}
    assert "much less than the 9,260 kg (20,415 lb) of the boat in row 3" in said(result)[0]
    assert "a factor of 2.2, as between kg and lb: check the unit" in said(result)[1]


def test_among_several_only_the_one_apart_is_named() -> None:
    assert set(said(fleet("4,200 kg", "9,260 kg", "4,400 kg", "4,100 kg"))) == {1}


@pytest.mark.parametrize(
    "result",
    [
        fleet("4,200 kg", "4,830 kg"),  # light, and light x 1.15
        fleet("4,200 kg", "9,260 kg", design=""),
        fleet("4,200 kg", "9,260 kg", design="one-off", lengths={1: "12.4 m"}),
    ],
)
def test_no_remark_without_cause(result: IntakeResult) -> None:
    assert len(result.fleet) == 2
    assert said(result) == {}


def test_a_rejected_sister_accuses_nobody() -> None:
    result = read_boats(
        boat(design="Pellarn 34"), boat(entry_no="018", design="Pellarn 34", displacement="42,000 kg")
    )
    assert (len(result.fleet), len(result.rejected)) == (1, 1)
    assert said(result) == {}
