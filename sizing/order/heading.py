"""Who buys, where it goes and by when: what stands above an order, and what the policy leaves out."""

from __future__ import annotations

from sizing.order.lead_times import DayOfNeed, day_of_need
from sizing.policy import Policy


def need_of(policy: Policy) -> DayOfNeed | None:
    """Return the day by which goods must be there, by the policy's own dates."""
    rally = policy.rally
    return day_of_need(rally.departure, rally.milestones, policy.order.delivery_margin_days)


def heading(policy: Policy, currency: str) -> tuple[tuple[str, str], ...]:
    """Return the lines above the fleet's order, each with its label, and where what is missing belongs."""
    rally, purchase, need = policy.rally, policy.purchase, need_of(policy)
    day = f"{need.latest}, {need.told}" if need else ""
    vat = "" if purchase.vat_percent is None else f"{purchase.vat_percent:g} %, asked of suppliers on top"
    return (
        ("Order of", rally.name),
        ("Buyer", purchase.buyer or _missing("buyer in [purchase]")),
        ("Deliver to", purchase.delivery or _missing("delivery in [purchase]")),
        ("Questions to", rally.contact or _missing("contact in [rally]")),
        ("Needed by", day or _missing("departure, or a milestone that closes the work, in [rally]")),
        ("Currency", currency or "not known: no price book gives one"),
        ("VAT", vat or _missing("vat_percent in [purchase]; prices are asked for without it")),
    )


def _missing(key: str) -> str:
    return f"missing: the policy has no {key}"
