"""One boat's pieces as they are put together, step by step."""

from __future__ import annotations

from dataclasses import dataclass, field

from sizing.catalogue import Catalogue
from sizing.model import (
    ConeSize,
    FleetColumns,
    Joint,
    MendPlan,
    OrderProblem,
    Piece,
    RequirementColumns,
)
from sizing.order.consumables import Basis
from sizing.order.cutting import cut_length_mm
from sizing.policy import Policy

LEGS = 2
ENDS = 2
ATTACHMENTS = 2


@dataclass(frozen=True)
class Run:
    """One run of rope of the rig, `count` alike, made `new` or aboard already."""

    name: str
    count: int
    new: bool
    diameter_m: float


@dataclass
class Builder:
    """Collects one boat's pieces."""

    plan: MendPlan
    fleet: FleetColumns
    requirements: RequirementColumns
    policy: Policy
    catalogue: Catalogue
    pieces: list[Piece] = field(default_factory=list)
    problems: list[OrderProblem] = field(default_factory=list)
    runs: list[Run] = field(default_factory=list)
    counted: dict[Basis, int] = field(default_factory=dict)
    joints: tuple[Joint, ...] = ()

    def add(
        self,
        item: str,
        kind: str,
        purpose: str,
        quantity: int,
        length_m: float | None,
        source: str,
        cone: ConeSize | None = None,
    ) -> None:
        """Add `quantity` equal pieces."""
        self.pieces.append(Piece(self.plan.row, item, kind, purpose, quantity, length_m, source, cone))

    def cannot(self, item: str, sentence: str) -> None:
        """Say what cannot be ordered, and why."""
        self.problems.append(OrderProblem(self.plan.row, item, sentence))

    def cut_m(self, length_m: float) -> float:
        """A length as cut: up to the next whole cutting step."""
        step_mm = round(self.policy.order.cut_step * 1000)
        return cut_length_mm(length_m, step_mm) / 1000
