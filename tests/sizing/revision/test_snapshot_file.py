"""The snapshot as a file: it comes back as it was, and anything else is refused with a reason."""

from __future__ import annotations

import json
from collections.abc import Callable
from functools import cache
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sizing.errors import InputError
from sizing.revision import parse_snapshot, snapshot_bytes, snapshot_of
from tests.sizing.revision.runs import KEY, boat, demo, demo_record, demo_rules, snapshot


def test_a_record_comes_back_as_it_was() -> None:
    assert parse_snapshot(snapshot_bytes(demo_record(second=True)), "a list") == demo_record(second=True)


def test_two_runs_of_one_input_give_the_same_bytes() -> None:
    rules = demo_rules()
    again = snapshot_of(demo(), rules.policy, rules.catalogue, key=KEY)
    assert snapshot_bytes(again) == snapshot_bytes(demo_record())


def test_hostile_cells_come_back_as_text() -> None:
    name = "</script>\u202e\x00=1+1{{7*7}}'\"\\ 海鳥"
    before = snapshot([boat(boat_name=name.replace("\x00", ""))])
    assert parse_snapshot(snapshot_bytes(before), "a list").written["boat_name"] == (
        name.replace("\x00", ""),
    )


@cache
def two_boats() -> bytes:
    return snapshot_bytes(snapshot([boat(), boat(entry_no="02", boat_name="Dunlin")]))


def changed(change: Callable[[dict[str, Any]], None]) -> bytes:
    data = json.loads(two_boats())
    change(data)
    return json.dumps(data).encode("utf-8")


def _set(key: str, value: Any) -> Callable[[dict[str, Any]], None]:
    def change(data: dict[str, Any]) -> None:
        *path, last = key.split("/")
        place: Any = data
        for part in path:
            place = place[int(part)] if isinstance(place, list) else place[part]
        place[int(last) if isinstance(place, list) else last] = value

    return change


@pytest.mark.parametrize(
    ("data", "found"),
    [
        (b"", "it is empty"),
        (b" \n", "it is empty"),
        (b"entry_no,boat_name\n1,Plover\n", "not whole JSON"),
        (b"\x00\xff\xfe", "not whole JSON"),
        (b"[" * 200_000, "not whole JSON"),
        (b"{}", "does not say which format"),
        (b"[]", "does not say which format"),
        (b'{"format": "drogue-muster run snapshot", "format_version": "1"}', "does not say which format"),
        (b'{"format": "another", "format_version": 1}', "a file of another kind"),
        (b'{"format": "drogue-muster run snapshot", "format_version": 2}', "format version 2"),
        (b'{"format": "drogue-muster run snapshot", "format_version": 1}', "stamp: Field required"),
        (two_boats()[:-200], "not whole JSON"),
        (changed(_set("names", ["one"])), "names has not one value for each of 2 boats"),
        (changed(_set("checks/0/standing", "09")), "checks.0.standing"),
        (changed(_set("checks/0/standing", "000")), "checks."),
        (changed(_set("needs/cones", [1.0, 2.0, 3.0])), "needs.cones"),
        (changed(_set("needs/cones", ["many"])), "needs.cones"),
        (changed(_set("entry_nos", ["a1", " A1"])), "two boats have one entry number"),
        (changed(_set("order", [])), ""),
        (changed(_set("stamp/today", "yesterday")), "stamp.today"),
        (changed(_set("surplus", 1)), "surplus"),
        (changed(_set("needs/<script>", [None])), ""),
        (
            json.dumps(
                {"format": "drogue-muster run snapshot", "format_version": 1, "<b>\x1b[31m": 1}
            ).encode(),
            "?b?",
        ),
    ],
)
def test_what_is_no_record_is_refused_with_a_reason(data: bytes, found: str) -> None:
    if not found:  # well-formed though unusual: an empty order, a figure of another name
        assert parse_snapshot(data, "snapshot previous.json").entry_nos == ("01", "02")
        return
    with pytest.raises(InputError) as refused:
        parse_snapshot(data, "snapshot previous.json")
    problem = refused.value
    assert found in problem.found or found == "?b?"
    assert problem.where == "snapshot previous.json"
    assert problem.expected
    assert problem.mend
    assert len(str(problem)) < 800
    assert "\x1b" not in str(problem)


def test_figures_that_are_no_numbers_are_refused() -> None:
    data = snapshot_bytes(snapshot([boat()])).replace(b'"cones":[', b'"cones":[NaN,', 1)
    with pytest.raises(InputError):
        parse_snapshot(data, "snapshot")


@given(st.integers(0, 10**6), st.binary(max_size=8))
def test_a_damaged_record_is_refused_or_read_whole(place: int, damage: bytes) -> None:
    data = snapshot_bytes(SMALL)
    place %= len(data)
    try:
        read = parse_snapshot(data[:place] + damage + data[place + len(damage) :], "snapshot")
    except InputError:
        return
    assert parse_snapshot(snapshot_bytes(read), "snapshot") == read


SMALL = snapshot([boat()])
