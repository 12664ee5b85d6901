"""Everything one run found out, together."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from sizing.model.entry import IntakeResult
from sizing.model.finding import CheckColumns, MendPlan
from sizing.model.order import Order
from sizing.model.requirement import RequirementColumns, RideColumns, StrikeColumns
from sizing.model.workshop import WorkshopPlan


@dataclass(frozen=True)
class MusterResult:
    """Everything one run found out. Two runs of the same input give the same result.

    `signed_off` are the rows of boats whose inspections are all signed off, and cover what the list says now.
    `workshop` is how the kits that are made come out of it; None where nothing was planned.
    """

    program_version: str
    today: date
    policy_sha256: str
    catalogue_sha256: str
    prices_sha256: str
    intake: IntakeResult
    requirements: RequirementColumns
    checks: tuple[CheckColumns, ...]
    plans: tuple[MendPlan, ...]
    order: Order
    strike: StrikeColumns | None = None
    strike_aboard: StrikeColumns | None = None
    ride: RideColumns | None = None
    signed_off: frozenset[int] = frozenset()
    workshop: WorkshopPlan | None = None

    @property
    def made(self) -> RequirementColumns:
        """What is made for boats: what they need, with the ropes they get in the place of those they need."""
        return self.requirements if self.order.made is None else self.order.made
