"""What the papers of one bag are made from, gathered once."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from sizing.catalogue import Catalogue
from sizing.drogue.lengths import cone_line_m
from sizing.drogue.marks import ConeMarks, cone_marks, marks_table
from sizing.model import FleetColumns, Joint, MendPlan, Order, OrderProblem, RequirementColumns
from sizing.order.cone_pieces import cones_told
from sizing.order.consumables import known_items
from sizing.order.kits import Kit
from sizing.order.loft.address_code import code_rows
from sizing.order.pieces import parts_list
from sizing.order.rope_pieces import SECTION, extension_section
from sizing.order.workshop import KitHours, kit_hours
from sizing.policy import Policy
from sizing.seamanship.recovery import recovery_line_m

PageAddress = Callable[[int], str]
"""From a boat's row to the address of her page."""


@dataclass(frozen=True)
class Line:
    """One stretch of rope that cones are fitted to, and where: section numbers count from the boat.

    `cones` says which, where they have a pattern of their own.
    """

    name: str
    cones: str
    rope: str
    diameter_m: float
    length_m: float
    marks: ConeMarks


@dataclass(frozen=True)
class Bag:
    """One boat's kit with all that is printed for it.

    `joints` are those the kit makes, in the order in which they are closed. `cones_on` says of a piece's
    purpose which cones go on it, where they have a pattern of their own. `missing` are the sentences on what
    could not be ordered for her. `finished_m` is how long each rope without cones is from eye to eye, by its
    purpose. `stations` are the kit's own hours for one person, learning on the way.
    `address` and the squares of its `code` are empty where the site's is not known.
    """

    kit: Kit
    plan: MendPlan
    lines: tuple[Line, ...]
    finished_m: Mapping[str, float]
    cones_on: Mapping[str, str]
    joints: tuple[Joint, ...]
    stations: tuple[KitHours, ...]
    missing: tuple[str, ...]
    descriptions: Mapping[str, str]
    policy: Policy
    address: str
    code: tuple[bytes, ...]

    @property
    def pieces(self) -> int:
        """Pieces in the bag by count."""
        return sum(piece.quantity for piece in self.kit.contents)


def gather_bags(
    order: Order,
    kits: Sequence[Kit],
    fleet: FleetColumns,
    requirements: RequirementColumns,
    plans: Sequence[MendPlan],
    policy: Policy,
    catalogue: Catalogue,
    page_address: PageAddress | None,
) -> tuple[Bag, ...]:
    """Return one bag for each kit, in the kits' order."""
    descriptions = {item.id: item.description for item in known_items(catalogue).values()}
    by_row = {plan.row: plan for plan in plans}
    missing: dict[int, list[OrderProblem]] = {}
    for problem in order.problems:
        if problem.row is not None:
            missing.setdefault(problem.row, []).append(problem)
    addresses = {kit.row: page_address(kit.row) if page_address else "" for kit in kits}
    return tuple(
        Bag(
            kit=kit,
            plan=by_row[kit.row],
            lines=_lines(kit, by_row[kit.row], requirements, policy, catalogue),
            finished_m=_finished_m(by_row[kit.row], fleet, requirements, policy),
            cones_on={
                cut.purpose: cones_told(cut.purpose, by_row[kit.row], requirements, policy, catalogue)
                for cut in kit.cuts
            },
            joints=parts_list(by_row[kit.row], fleet, requirements, policy, catalogue).joints,
            stations=kit_hours(kit, policy),
            missing=tuple(problem.sentence for problem in missing.get(kit.row, ())),
            descriptions=descriptions,
            policy=policy,
            address=addresses[kit.row],
            code=code_rows(addresses[kit.row]) if addresses[kit.row] else (),
        )
        for kit in kits
    )


def _finished_m(
    plan: MendPlan, fleet: FleetColumns, requirements: RequirementColumns, policy: Policy
) -> Mapping[str, float]:
    """The finished lengths that are not those of a marked line; the recovery line goes by the legs in use."""
    leg_m, lead_m = float(requirements.bridle_leg_m[plan.row]), float(requirements.lead_length_m[plan.row])
    own_m = None if "bridle" in plan.groups else fleet.value("bridle_leg_length_m", plan.row)
    recovery_m = recovery_line_m(max(own_m or 0.0, leg_m), policy)
    return {"bridle leg": leg_m, "lead line": lead_m, "recovery line": recovery_m}


def _lines(
    kit: Kit, plan: MendPlan, requirements: RequirementColumns, policy: Policy, catalogue: Catalogue
) -> tuple[Line, ...]:
    """Every new stretch of cone line with its marks, from the outer end inboard."""
    sizing, ropes = policy.sizing, catalogue.ropes

    def told(purpose: str) -> str:
        return cones_told(purpose, plan, requirements, policy, catalogue)

    if "cone line" in plan.groups:
        table = marks_table(requirements, policy, kit.row)
        found = []
        for section in np.unique(table.section)[::-1].tolist():
            rope = int(requirements.section_rope[kit.row, section])
            length_m = float(requirements.section_length_m[kit.row, section])
            found.append(
                Line(
                    f"section {section + 1}",
                    told(f"{SECTION}{section + 1}"),
                    ropes.id[rope],
                    float(ropes.diameter_m[rope]),
                    length_m,
                    _of_section(table, section),
                )
            )
        return tuple(found)
    if "extension" in plan.groups and plan.cones_to_make > 0:
        table = cone_marks(np.array([plan.cones_to_make, 0, 0]), sizing.cone_pitch, sizing.first_cone_offset)
        rope = int(requirements.section_rope[kit.row, extension_section(plan, requirements)])
        length_m = float(cone_line_m(float(plan.cones_to_make), sizing.cone_pitch, sizing.first_cone_offset))
        return (
            Line(
                "new section",
                told("extension"),
                ropes.id[rope],
                float(ropes.diameter_m[rope]),
                length_m,
                table,
            ),
        )
    return ()


def _of_section(table: ConeMarks, section: int) -> ConeMarks:
    hers = table.section == section
    return ConeMarks(
        table.number[hers], table.section[hers], table.distance_m[hers], table.in_section_m[hers],
        table.tolerance_m,
    )  # fmt: skip
