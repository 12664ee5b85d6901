"""The physical pieces one boat's plan needs: what is cut, made and fitted, each with its source."""

from __future__ import annotations

from dataclasses import dataclass

from sizing.catalogue import Catalogue
from sizing.errors import MusterError
from sizing.model import FleetColumns, Joint, MendPlan, OrderProblem, Piece, RequirementColumns
from sizing.order.builder import Builder
from sizing.order.cone_pieces import cones
from sizing.order.fittings import (
    attachments,
    bag,
    chafe_gear,
    consumables,
    end_weight,
    thimbles,
)
from sizing.order.joint_pieces import shackles
from sizing.order.recovery_pieces import recovery_gear
from sizing.order.rope_pieces import bridle, cone_line, extension, lead_line
from sizing.policy import Policy

STEPS = (
    lead_line, cone_line, extension, bridle, cones, thimbles, shackles, end_weight, chafe_gear, attachments,
    bag, recovery_gear, consumables,
)  # fmt: skip
"""In this order: thimbles go by the runs of rope, small parts by what was counted before."""


@dataclass(frozen=True)
class PartsList:
    """One boat's pieces, what her plan asks for that cannot be ordered, and the joints it makes.

    Joints stand in the order in which they are closed.
    """

    pieces: tuple[Piece, ...]
    problems: tuple[OrderProblem, ...]
    joints: tuple[Joint, ...] = ()


def pieces_for(
    plan: MendPlan,
    fleet: FleetColumns,
    requirements: RequirementColumns,
    policy: Policy,
    catalogue: Catalogue,
) -> tuple[Piece, ...]:
    """Return the pieces one boat's plan needs; see `parts_list`."""
    return parts_list(plan, fleet, requirements, policy, catalogue).pieces


def parts_list(
    plan: MendPlan,
    fleet: FleetColumns,
    requirements: RequirementColumns,
    policy: Policy,
    catalogue: Catalogue,
) -> PartsList:
    """Return the pieces one boat's plan needs, and what of it cannot be ordered.

    Rope lengths are the requirement's cut lengths, splices included, taken up to the policy's cutting step.
    Every end of every new run of rope has an eye and a thimble; new thimbles alone are spliced into the rope
    aboard. A boat whose requirement is not computed gets no piece and one problem. [practice]
    """
    build = Builder(plan, fleet, requirements, policy, catalogue)
    if plan.waiting:
        named = " and ".join(plan.waiting)
        build.cannot("", f"Not ordered yet: her {named}. The width of her transom is not known.")
    if not plan.groups:
        return PartsList((), tuple(build.problems))
    if plan.row in requirements.not_computed:
        build.cannot("", f"Nothing is ordered for her: {requirements.not_computed[plan.row]}")
        return PartsList((), tuple(build.problems))
    for step in STEPS:
        try:
            step(build)
        except MusterError as problem:
            build.cannot("", str(problem))
    return PartsList(tuple(build.pieces), tuple(build.problems), build.joints)
