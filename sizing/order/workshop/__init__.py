"""The fleet's workshop: from people, machines and days to who stands where, and which kits are ready.

Read `plan` first. HiGHS sets people to steps (`staffing`); `passing` then takes the kits through, in their
order, hour by hour, and only what comes out of that is promised.
"""

from __future__ import annotations

from sizing.order.workshop.plan import plan_of, workshop_plan
from sizing.order.workshop.work import KitHours, kit_hours

__all__ = ["KitHours", "kit_hours", "plan_of", "workshop_plan"]
