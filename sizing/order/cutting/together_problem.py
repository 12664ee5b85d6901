"""What is cut from which goods: the nouns of `together`."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TypeAlias

Choice: TypeAlias = tuple[tuple[int, ...], ...]
"""Of every run, how many of those alike take each of its choices."""


@dataclass(frozen=True)
class Pack:
    """Whole packs of one length, `least` or none. Costs are whole numbers of one small unit of money."""

    length_mm: int
    cost: int
    least: int = 1


@dataclass(frozen=True)
class ByLength:
    """Goods cut to length where they are bought: one length in whole steps, `cost` a step."""

    step_mm: int
    least_mm: int
    cost: int


@dataclass(frozen=True)
class Goods:
    """One thing that is cut; every length of it loses `loss_mm`. `shelf_mm` are in hand and cost nothing."""

    packs: tuple[Pack, ...]
    by_length: tuple[ByLength, ...]
    shelf_mm: tuple[int, ...]
    loss_mm: int


@dataclass(frozen=True)
class Run:
    """`quantity` equal pieces, all cut from one of `choices`: (goods, what choosing it costs besides).

    There are `alike` such runs, each of which is cut from a choice of its own.
    """

    length_mm: int
    quantity: int
    choices: tuple[tuple[int, int], ...]
    alike: int = 1


@dataclass(frozen=True)
class Problem:
    """Goods, and what is to be cut from them."""

    goods: tuple[Goods, ...]
    runs: tuple[Run, ...]


@dataclass(frozen=True)
class Packed:
    """What the packs that hold a demand cost, and a proven bound on it."""

    cost: int
    bound: int


@dataclass(frozen=True)
class Bought:
    """One length bought by the metre: its steps, and how many pieces of each length come from it."""

    steps: int
    pieces: Mapping[int, int]


@dataclass(frozen=True)
class Solution:
    """How many of the runs alike take each choice, and what is bought by the metre, by (goods, offer).

    `cost` is what all of it costs, `bound` what no solution can go below.
    """

    choice: Choice
    by_length: Mapping[tuple[int, int], Bought]
    cost: int
    bound: int
    time_ran_out: bool


def max_demand(problem: Problem, g: int) -> dict[int, int]:
    """How many pieces of each length may come from one of the goods, longest first."""
    found: dict[int, int] = {}
    for run in problem.runs:
        if any(goods == g for goods, _ in run.choices):
            found[run.length_mm] = found.get(run.length_mm, 0) + run.quantity * run.alike
    return dict(sorted(found.items(), reverse=True))


def demand_of(problem: Problem, g: int, choice: Choice) -> dict[int, int]:
    """How many pieces of each length come from one of the goods by these choices, longest first."""
    found: dict[int, int] = {}
    for run, counts in zip(problem.runs, choice, strict=True):
        for (goods, _), n in zip(run.choices, counts, strict=True):
            if goods == g and n:
                found[run.length_mm] = found.get(run.length_mm, 0) + run.quantity * n
    return dict(sorted(found.items(), reverse=True))
