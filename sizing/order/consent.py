"""Only consent is ordered: whom the order buys for, and what it would be for the others."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from decimal import Decimal

from sizing.audit import AuditContext
from sizing.catalogue import Catalogue
from sizing.model import (
    CONSENT,
    FleetColumns,
    MendPlan,
    Order,
    RequirementColumns,
    StrikeColumns,
    Supply,
    WouldBe,
)
from sizing.order.judged_again import rejudge_of
from sizing.order.prices import PriceBook
from sizing.order.purchase import TIME_LIMIT_S, Progress, build_order
from sizing.order.rope_choices import Rejudge
from sizing.order.stock import ClubStock
from sizing.order.substitute import Substituted, substitute
from sizing.policy import Policy


def is_bought_for(supply: Supply, *, ask_first: bool) -> bool:
    """Whether the rally buys for a boat: she said so, or it orders without asking and she said nothing.

    >>> is_bought_for(Supply("rally order"), ask_first=True), is_bought_for(Supply(), ask_first=True)
    (True, False)
    >>> is_bought_for(Supply(), ask_first=False), is_bought_for(Supply("declined"), ask_first=False)
    (True, False)
    """
    if supply.word:
        return supply.word == CONSENT
    return not ask_first and not supply.another_way


def order_with_consent(
    fleet: FleetColumns,
    requirements: RequirementColumns,
    plans: Sequence[MendPlan],
    supplies: Sequence[Supply],
    policy: Policy,
    catalogue: Catalogue,
    prices: PriceBook | None,
    *,
    time_limit_s: float = TIME_LIMIT_S,
    progress: Progress | None = None,
    stock: ClubStock | None = None,
    today: date | None = None,
    context: AuditContext | None = None,
    strike: StrikeColumns | None = None,
) -> Order:
    """Return the order for the boats that agreed to it, and what it would be for the others.

    What another boat would pay is her share in one order for every boat that needs parts: of fewer boats each
    would pay more, since packs are whole. Where nobody is left out, that is the order itself.

    With a `context` boats are judged again with what came instead of what was ordered, and with the `strike`
    simulated for the fleet pieces may be cut thicker than needed, as in `build_order`. What it would be for
    others is worked out with none thicker, so that nobody is told too little.
    """
    ask = policy.order.ask_first
    bought = [plan for plan in plans if is_bought_for(supplies[plan.row], ask_first=ask)]
    others = [plan for plan in plans if plan.groups and plan not in bought]

    came, rejudge = Substituted(requirements), None
    if context is not None:
        samples = strike.samples if strike else 0
        came = substitute(context, bought, stock, others=others, samples=samples)
        rejudge = rejudge_of(replace(context, requirements=came.requirements), strike, plans)

    def order(
        of: Sequence[MendPlan], besides: Sequence[MendPlan] = (), again: Rejudge | None = None
    ) -> Order:
        return build_order(
            fleet, came.requirements, of, policy, catalogue, prices, time_limit_s=time_limit_s,
            progress=progress, stock=stock, today=today, others=besides, cut_of=came.cut_of, rejudge=again,
        )  # fmt: skip

    made = order(bought, others, rejudge)
    made = replace(made, supplies=tuple(supplies), ask_first=ask, came_for=came.said)
    return replace(made, would_be=_would_be(order(plans), others)) if others else made


def _would_be(whole: Order, others: Sequence[MendPlan]) -> WouldBe:
    rows = {plan.row for plan in others}
    totals = {row: amount for row, amount in whole.boat_totals.items() if row in rows}
    return WouldBe(
        rows=tuple(sorted(rows)),
        pieces=tuple(piece for piece in whole.pieces if piece.row in rows),
        lines=whole.lines,
        boat_totals=totals,
        total=None if whole.total is None else sum(totals.values(), Decimal("0.00")),
    )
