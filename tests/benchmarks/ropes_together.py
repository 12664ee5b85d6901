"""All ropes cut as one, and the choice of each boat's plan: money, proof and time for fleets of some sizes.

Run with `python -m tests.benchmarks.ropes_together [BOATS ...]`. Fleets are those of the intake's benchmark,
the prices the demo's. Whatever is thicker is taken to serve, so that the choice alone is measured.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from datetime import date
from time import perf_counter

import numpy as np

from fleet_demo import prices_csv
from sizing.audit import AuditContext, audit_fleet, plan_options
from sizing.audit.as_fitted import PARTS, fitted_requirements
from sizing.catalogue import load_catalogue
from sizing.drogue.size import size_fleet
from sizing.intake import read_fleet
from sizing.model import RequirementColumns
from sizing.order import build_order, choose_plans, known_items, load_prices
from sizing.order.judged_again import boats_of, ropes_put
from sizing.order.rope_choices import Boat, Ropes
from sizing.policy import OrderRules, Policy
from tests.benchmarks.intake import fleet_csv

TODAY = date(2026, 11, 20)
LIMIT_S = {30: 60.0, 300: 60.0, 3000: 600.0}


class Accepting:
    """Judges every boat well."""

    def __init__(self, context: AuditContext) -> None:
        self.context = context

    def __call__(self, boats: Sequence[Boat], *, quick: bool = False) -> Sequence[tuple[str, ...]]:
        return [()] * len(boats)

    def made(self, ropes: Ropes) -> RequirementColumns:
        """The rigs with these ropes."""
        context = self.context
        put = ropes_put(boats_of(ropes), context.sections, context.catalogue.ropes)
        asked_n = np.full((len(put.row), len(PARTS)), np.nan)
        return fitted_requirements(context.requirements, put, asked_n, context.policy, context.catalogue)


def measure(boats: int) -> None:
    """Print one fleet's figures."""
    policy, catalogue = Policy(order=OrderRules(thicker_pieces=True)), load_catalogue()
    prices = load_prices(prices_csv(), known_items(catalogue))
    fleet = read_fleet(fleet_csv(boats), "fleet.csv", today=TODAY).fleet
    needs = size_fleet(fleet, policy, catalogue)
    context = AuditContext(fleet, needs, policy, catalogue, TODAY)
    options = plan_options(context, audit_fleet(context))
    start = perf_counter()
    plans = choose_plans(options, fleet, needs, policy, catalogue, prices)
    chosen_s = perf_counter() - start
    start = perf_counter()
    order = build_order(
        fleet, needs, plans, policy, catalogue, prices, time_limit_s=LIMIT_S.get(boats, 60.0),
        rejudge=Accepting(context),
    )  # fmt: skip
    spent_s = perf_counter() - start
    together = order.together
    print(
        f"{len(fleet):5d} boats: plans chosen in {chosen_s:.1f} s; order {order.total:,.2f} in {spent_s:.1f} "
        f"s, {len(together.pieces)} pieces thicker save {together.saving:,.2f} against none, gap "
        f"{together.gap_percent:.2f} %{', time ran out' if together.time_ran_out else ''}",
        flush=True,
    )


def main() -> None:
    """Measure every fleet named, or 30 and 300 boats."""
    for boats in map(int, sys.argv[1:] or ("30", "300")):
        measure(boats)


if __name__ == "__main__":
    main()
