"""The key of a boat changes with anything of hers, and with nothing of another boat's."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields, replace
from decimal import Decimal
from typing import Any

import numpy as np
import pytest

from sitegen.boat_facts import Gatherer
from sitegen.row_keys import row_keys
from sizing.entry_key import entry_key
from sizing.model import Charge, CheckColumns, MusterResult
from tests.sitegen.result_builder import FLEET, Run, make_run, with_strike

HERS = 1


@pytest.fixture(scope="module")
def run() -> Run:
    return with_strike(make_run())


def keys(run: Run, result: MusterResult | None = None, site: str = "site") -> list[str]:
    return row_keys(Gatherer(result or run.result, run.policy, run.catalogue), site)


def changed(run: Run, result: MusterResult) -> list[int]:
    """The rows whose key is another one."""
    return [row for row, (a, b) in enumerate(zip(keys(run), keys(run, result), strict=True)) if a != b]


def columns_of(thing: Any) -> list[str]:
    return [f.name for f in fields(thing) if isinstance(getattr(thing, f.name), np.ndarray)]


@pytest.mark.parametrize("part", ["requirements", "strike", "ride"])
def test_every_column_counts_for_her_alone(run: Run, part: str) -> None:
    columns = getattr(run.result, part)
    for name in columns_of(columns):
        before = np.array(getattr(columns, name))
        before[HERS] = 7
        after = np.array(before)
        after[HERS] = 8
        first = replace(run.result, **{part: replace(columns, **{name: before})})
        second = replace(run.result, **{part: replace(columns, **{name: after})})
        assert changed(replace(run, result=first), second) == [HERS], name


def test_what_is_made_for_her_counts_for_her_alone(run: Run) -> None:
    """Her joints and cones are told by it, where she gets another rope than she needs."""
    needed = run.result.requirements
    load_n = np.array(needed.chosen_load_n)
    load_n[HERS] = 7.0
    order = replace(run.result.order, made=replace(needed, chosen_load_n=load_n))
    assert changed(run, replace(run.result, order=order)) == [HERS]


def note(checks: tuple[CheckColumns, ...]) -> tuple[CheckColumns, ...]:
    mask = np.zeros(len(checks[0].standing), dtype=bool)
    mask[HERS] = True
    return (replace(checks[0], notes=((mask, "Only hers."),)), *checks[1:])


def stood(checks: tuple[CheckColumns, ...]) -> tuple[CheckColumns, ...]:
    standing = checks[3].standing.copy()
    standing[HERS] = (standing[HERS] + 1) % 4
    return (*checks[:3], replace(checks[3], standing=standing), *checks[4:])


@pytest.mark.parametrize("change", [note, stood])
def test_every_check_counts_for_her_alone(
    run: Run, change: Callable[[tuple[CheckColumns, ...]], tuple[CheckColumns, ...]]
) -> None:
    assert changed(run, replace(run.result, checks=change(run.result.checks))) == [HERS]


def test_what_stands_by_row_counts_for_her_alone(run: Run) -> None:
    strike = run.result.strike
    assert strike is not None
    time, load, speed = strike.history[HERS]
    later = {**strike.history, HERS: (time, load + 1.0, speed)}
    assert changed(run, replace(run.result, strike=replace(strike, history=later))) == [HERS]
    shares = {**strike.share_above, "attachment": np.array([0.25, 0.5, 0.25, 0.25, 0.25])}
    assert changed(run, replace(run.result, strike=replace(strike, share_above=shares))) == [HERS]
    reasons = {**strike.not_computed, HERS: "no reason"}
    assert changed(run, replace(run.result, strike=replace(strike, not_computed=reasons))) == [HERS]


@pytest.mark.parametrize("part", ["pieces", "spools"])
def test_her_part_of_the_order_counts_and_the_rest_does_not(run: Run, part: str) -> None:
    order = run.result.order
    fewer = tuple(
        thing
        for thing in getattr(order, part)
        if getattr(thing, "row", None) != HERS and getattr(thing, "spool_no", None) != HERS + 1
    )
    less: dict[str, Any] = {part: fewer}
    assert changed(run, replace(run.result, order=replace(order, **less))) == [HERS]
    assert changed(run, replace(run.result, order=replace(order, total=None))) == []


def test_what_her_share_comes_to_counts_and_its_money_for_all(run: Run) -> None:
    """Her page tells the sum: it is not to be taken over from the site of other prices."""
    order = run.result.order
    entry = entry_key(str(run.result.intake.fleet.text["entry_no"][HERS]))
    owed = {**order.charges.owed, entry: Charge(Decimal("9.99"))}
    dearer = replace(order, charges=replace(order.charges, owed=owed))
    assert changed(run, replace(run.result, order=dearer)) == [HERS]
    other = replace(run.result, order=replace(order, currency="SEK"))
    assert changed(run, other) == list(range(len(run.result.intake.fleet)))


def test_what_is_written_on_her_form_counts(run: Run) -> None:
    boats = [dict(boat) for boat in FLEET]
    boats[HERS]["sail_no"] = "Another word"
    assert changed(run, with_strike(make_run(boats)).result) == [HERS]


def test_what_is_the_same_for_all_counts_for_all(run: Run) -> None:
    strike = run.result.strike
    assert strike is not None
    everybody = list(range(len(run.result.intake.fleet)))
    assert changed(run, replace(run.result, strike=replace(strike, samples=9))) == everybody
    assert changed(run, replace(run.result, ride=None)) == everybody
    assert not set(keys(run)) & set(keys(run, site="another"))


def test_nothing_is_overlooked(run: Run) -> None:
    ride = run.result.ride
    assert ride is not None
    strange = replace(run.result, ride=replace(ride, mean_n=object()))  # type: ignore[arg-type]
    with pytest.raises(TypeError, match=r"ride|4\.mean_n"):
        keys(run, strange)
    short = replace(run.result, ride=replace(ride, mean_n=ride.mean_n[:2]))
    with pytest.raises(TypeError, match="2 rows for 5 boats"):
        keys(run, short)
