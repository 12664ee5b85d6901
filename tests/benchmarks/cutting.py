"""Cutting an invented fleet's rope: spools, proven bound, gap, waste and time, against first-fit-decreasing.

Run with `python -m tests.benchmarks.cutting [boats]`. The fleet is the same on every run; the times are not.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from time import perf_counter

import numpy as np

from sizing.order.cutting import CutProblem, Piece, Stock, cut_length_mm, plan_cuts
from sizing.order.cutting.first_fit import first_fit_decreasing
from sizing.order.cutting.grid import to_instance

DIAMETERS_MM = (10, 12, 14, 16, 18, 20, 22)
STEPS_MM = (1000, 100)
STOCKS: dict[str, tuple[Stock, ...]] = {
    "200 m": (Stock("200 m", 200_000),),
    "100 m": (Stock("100 m", 100_000),),
    "priced 100/150/200/220 m": (
        Stock("100 m", 100_000, 21_300),
        Stock("150 m", 150_000, 31_100),
        Stock("200 m", 200_000, 40_500),
        Stock("220 m", 220_000, 44_900),
    ),
}


def drogue_rope(boats: int, step_mm: int) -> dict[int, list[Piece]]:
    """Lead line, two bridle legs and two or three tapered line sections for each invented boat.

    Lengths follow the sizing rules roughly (cone count grows with displacement, legs with the transom);
    which diameter a boat gets, and how her line is split, are made up.
    """
    rng = np.random.default_rng(1979)
    pieces: dict[int, list[Piece]] = {diameter: [] for diameter in DIAMETERS_MM}
    for boat in range(boats):
        tonnes = float(np.clip(rng.lognormal(2.2, 0.5), 3.0, 30.0))
        heaviest = int(np.clip(np.log(tonnes / 3.0) / np.log(10.0) * 6 + rng.integers(0, 2), 2, 6))
        line_m = float(np.interp(np.log(tonnes), np.log([3.4, 27.2]), [95, 175])) * 0.508 + 0.6
        sections = 2 if line_m < 60 else 3
        shares = rng.dirichlet(np.full(sections, 30.0))
        leg_m = 2.5 * float(rng.uniform(1.6, 4.4)) + 0.6
        label = f"boat {boat:03d}"

        def cut(place: int, length_m: float, what: str, count: int = 1, boat_label: str = label) -> None:
            pieces[DIAMETERS_MM[max(place, 0)]].append(
                Piece(cut_length_mm(length_m, step_mm), f"{boat_label} {what}", count)
            )

        cut(heaviest, 22.86 + float(rng.uniform(1.0, 3.0)), "lead line")
        cut(heaviest - 1, leg_m, "bridle leg", 2)
        for number, share in enumerate(shares.tolist()):
            cut(heaviest - number, line_m * share + 0.6, f"section {number + 1}")
    return pieces


def even_spread(boats: int, step_mm: int) -> dict[int, list[Piece]]:
    """Five pieces a boat, evenly spread from 5 m to 70 m: the harder set, all lengths different."""
    rng = np.random.default_rng(1979)
    lengths = rng.uniform(5.0, 70.0, 5 * boats).tolist()
    pieces: dict[int, list[Piece]] = {diameter: [] for diameter in DIAMETERS_MM}
    for index, length in enumerate(lengths):
        pieces[DIAMETERS_MM[index % 7]].append(
            Piece(cut_length_mm(length, step_mm), f"boat {index // 5:03d}")
        )
    return pieces


def by_rule_alone(problem: CutProblem) -> tuple[int, int, float]:
    """(value, spools, waste) of first-fit-decreasing on the same problem."""
    instance = to_instance(problem, list(problem.pieces))
    packing, _ = first_fit_decreasing(instance)
    bundles = packing or []
    value = sum(bundle.times * instance.weights[bundle.bin] for bundle in bundles)
    taken = sum(
        bundle.times * problem.stock[instance.stock_index[bundle.bin]].length_mm for bundle in bundles
    )
    asked = sum(piece.length_mm * piece.quantity for piece in problem.pieces)
    return value, sum(bundle.times for bundle in bundles), 1 - asked / taken


def rows(name: str, step_mm: int, pieces: dict[int, list[Piece]], stock: tuple[Stock, ...]) -> Iterator[str]:
    """One line for each diameter and one for the whole."""
    seconds, asked, taken, rule_taken, proven = 0.0, 0, 0.0, 0.0, 0
    pieces = {diameter: wanted for diameter, wanted in pieces.items() if wanted}
    for diameter, wanted in pieces.items():
        problem = CutProblem(tuple(wanted), stock)
        start = perf_counter()
        plan = plan_cuts(problem)
        spent_s = perf_counter() - start
        value, spools, waste = by_rule_alone(problem)
        length = sum(piece.length_mm * piece.quantity for piece in wanted)
        count = sum(piece.quantity for piece in wanted)
        unit = 100 if plan.objective == "cost" else 1000
        yield (
            f"{diameter:4d} mm {count:5d} pieces  {plan.spools_bought:4d} spools"
            f"  value {plan.value / unit:9.2f}  bound {plan.bound / unit:9.2f}  gap {plan.gap:7.3%}"
            f"  waste {plan.waste:6.2%}  {spent_s:6.2f} s"
            f"  | first-fit {spools:4d} spools {value / unit:9.2f} waste {waste:6.2%}  | {plan.method}"
        )
        seconds += spent_s
        asked += length
        taken += length / (1 - plan.waste)
        rule_taken += length / (1 - waste)
        proven += plan.optimal
    yield (
        f"  == {name}, steps of {step_mm / 1000:g} m: proven optimal {proven} of {len(pieces)},"
        f" {seconds:.2f} s, waste {1 - asked / taken:.2%}"
        f" against {1 - asked / rule_taken:.2%} by first-fit-decreasing"
    )


def main() -> None:
    """Print every table."""
    boats = int(sys.argv[1]) if len(sys.argv) > 1 else 300
    for title, make in (("drogue rope", drogue_rope), ("even spread 5 m to 70 m", even_spread)):
        for stock_name, stock in STOCKS.items():
            for step_mm in STEPS_MM:
                print(f"{title}, {boats} boats, {stock_name}, steps of {step_mm / 1000:g} m")
                for row in rows(f"{title}, {stock_name}", step_mm, make(boats, step_mm), stock):
                    print(row, flush=True)


if __name__ == "__main__":
    main()
