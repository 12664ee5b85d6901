"""The cheapest way to mend each boat, and the runner-up, by materials and hours."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from sizing.catalogue import Catalogue
from sizing.model import FleetColumns, MendPlan, Piece, RequirementColumns
from sizing.order.cloth_yield import cloth_needed_m
from sizing.order.items import metres
from sizing.order.pieces import parts_list
from sizing.order.prices import PriceBook, unit_prices
from sizing.policy import Policy
from sizing.words import word

CENT = Decimal("0.01")


@dataclass(frozen=True)
class _Costed:
    """One way with its materials, and all that it costs when an hour is worth something."""

    plan: MendPlan
    materials: Decimal
    whole: Decimal


def choose_plans(
    options: Sequence[Sequence[MendPlan]],
    fleet: FleetColumns,
    requirements: RequirementColumns,
    policy: Policy,
    catalogue: Catalogue,
    prices: PriceBook | None,
) -> tuple[MendPlan, ...]:
    """The cheapest of each boat's ways: materials at the best unit price, plus hours at the policy's worth.

    Whole packs are shared by the fleet, so a boat's materials are compared by unit price. Where a part has no
    price, or there is no price book, the least kind of work is taken; no way is preferred on a guess. Equal
    costs go to the lesser work. [assumed hour value]
    """
    unit_price = unit_prices(prices)
    currency = prices.currency if prices else ""

    def choose(ways: Sequence[MendPlan]) -> MendPlan:
        costed = [_cost(plan, fleet, requirements, policy, catalogue, unit_price) for plan in ways]
        known = [way for way in costed if way is not None]
        if len(known) < len(ways) or not unit_price:
            first = costed[0]
            materials = first.materials if first and unit_price else None
            return dataclasses.replace(ways[0], materials=materials, currency=currency if materials else "")
        ranked = sorted(known, key=lambda way: way.whole)
        runner_up = _words(ranked[1], currency) if len(ranked) > 1 else ""
        return dataclasses.replace(
            ranked[0].plan, materials=ranked[0].materials, currency=currency, runner_up=runner_up
        )

    return tuple(choose(ways) for ways in options)


def _words(way: _Costed, currency: str) -> str:
    plan = way.plan
    cones = f"{plan.cones_to_make or 'no'} new cone{'' if plan.cones_to_make == 1 else 's'}"
    hours = f"about {plan.hours:.0f} hours"
    return f"{word('plan', plan.choice)} (materials {way.materials:,.2f} {currency}, {hours}, {cones})"


def _cost(
    plan: MendPlan,
    fleet: FleetColumns,
    requirements: RequirementColumns,
    policy: Policy,
    catalogue: Catalogue,
    unit_price: dict[str, Decimal],
) -> _Costed | None:
    """Materials and whole cost of one way; None where a part has no price or cannot be ordered."""
    parts = parts_list(plan, fleet, requirements, policy, catalogue)
    if parts.problems or any(piece.item not in unit_price for piece in parts.pieces):
        return None
    total = sum(
        (unit_price[piece.item] * _units(piece, policy, catalogue) for piece in parts.pieces),
        Decimal(0),
    )
    materials = total.quantize(CENT)
    hours = Decimal(repr(plan.hours)) * Decimal(repr(policy.order.hour_value))
    return _Costed(plan, materials, materials + hours)


def _units(piece: Piece, policy: Policy, catalogue: Catalogue) -> Decimal:
    """How much of its item a piece takes: metres of what is cut, metres of cloth for cones, else pieces."""
    if piece.length_m is not None:
        return metres(piece.length_m, piece.quantity)
    if piece.cone is not None:
        width_m = float(catalogue.cloths.width_m[catalogue.cloths.id.index(piece.item)])
        return cloth_needed_m({piece.cone: piece.quantity}, width_m, policy)
    return Decimal(piece.quantity)
