"""What a check comes to if a displacement that is not said to be loaded is the light one."""

from __future__ import annotations

import dataclasses

import numpy as np

from sizing.audit.context import AuditContext
from sizing.audit.judge import Outcome, left_unproven
from sizing.drogue.size import size_fleet
from sizing.fields import CHOICES
from sizing.model import BoolArray, Standing

NOTE = (
    "Enough if the displacement is the loaded one, which the sheet does not say; as the light one, times the "
    "policy's loading factor [assumed], it would not be."
)


def if_light(context: AuditContext) -> AuditContext | None:
    """The same fleet with every unsaid displacement taken as light; None where that changes nothing.

    What a strike asks beyond the design load is left out of what those boats need, so no boat is asked for
    more than the published rules ask.
    """
    unsaid = context.blank("displacement_basis")
    if not unsaid.any() or context.policy.sizing.loading_factor <= 1.0:
        return None
    code = CHOICES["displacement_basis"].index("light")
    basis = np.where(unsaid, code, context.fleet.choice["displacement_basis"]).astype(np.int8)
    fleet = dataclasses.replace(context.fleet, choice={**context.fleet.choice, "displacement_basis": basis})
    requirements = size_fleet(fleet, context.policy, context.catalogue)
    return dataclasses.replace(context, fleet=fleet, requirements=requirements)


def not_if_light(outcome: Outcome, as_light: Outcome, unsaid: BoolArray) -> Outcome:
    """The outcome with what is met only by a loaded displacement that nobody stated left unproven."""
    fails = np.isin(as_light.standing, (Standing.SHORT, Standing.ABSENT, Standing.UNPROVEN))
    doubtful = np.asarray(unsaid & fails & (outcome.standing == Standing.MEETS))
    if not doubtful.any():
        return outcome
    noted = dataclasses.replace(outcome, notes=(*outcome.notes, (doubtful, NOTE)))
    return left_unproven(noted, doubtful)
