"""Who may do what. Every route names the permission it asks for; this table says which roles have it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final, Literal, get_args

from api.trail.chain import Actor

Role = Literal["officer", "scrutineer", "chandlery", "skipper"]
ROLES: Final[tuple[Role, ...]] = get_args(Role)

Permission = Literal[
    "fleet.read", "fleet.create", "fleet.upload", "upload.read", "boats.list", "boat.read", "what-if",
    "inspection.read", "inspection.write", "inspection.sign", "waiver.read", "waiver.write", "order.read",
    "supply.read", "supply.write", "payment.read", "payment.write",
    "answer.read", "answer.write", "answers.list", "link.write",
    "revision.read", "job.read", "trail.read", "metrics.read",
]  # fmt: skip

PERMISSIONS: Final[Mapping[Permission, frozenset[Role]]] = MappingProxyType(
    {
        "fleet.read": frozenset({"officer", "scrutineer", "chandlery"}),
        "fleet.create": frozenset({"officer"}),
        "fleet.upload": frozenset({"officer"}),
        "upload.read": frozenset({"officer"}),  # an upload holds contact details
        "boats.list": frozenset({"officer", "scrutineer", "chandlery"}),
        "boat.read": frozenset({"officer", "scrutineer", "skipper"}),
        "what-if": frozenset({"officer", "scrutineer", "skipper"}),
        "inspection.read": frozenset({"officer", "scrutineer", "skipper"}),
        "inspection.write": frozenset({"officer", "scrutineer"}),
        "inspection.sign": frozenset({"officer", "scrutineer"}),
        "waiver.read": frozenset({"officer", "scrutineer"}),
        "waiver.write": frozenset({"officer"}),
        "order.read": frozenset({"officer", "chandlery"}),
        "supply.read": frozenset({"officer"}),  # it names who said so
        "supply.write": frozenset({"officer"}),
        "payment.read": frozenset({"officer", "chandlery"}),
        "payment.write": frozenset({"officer", "chandlery"}),
        "answer.read": frozenset({"officer", "skipper"}),
        "answer.write": frozenset({"officer", "skipper"}),
        "answers.list": frozenset({"officer"}),  # it names who said so
        "link.write": frozenset({"officer"}),
        "revision.read": frozenset({"officer", "scrutineer"}),
        "job.read": frozenset({"officer", "scrutineer"}),
        "trail.read": frozenset({"officer"}),
        "metrics.read": frozenset({"officer"}),
    }
)


@dataclass(frozen=True)
class Token:
    """A token without its secret: whose it is, for which role, fleet and boat, and until when."""

    id: str
    label: str
    role: Role
    fleet_id: str | None
    boat_id: str | None
    expires_at: str

    def may(self, permission: Permission, fleet_id: str | None, boat_id: str | None) -> bool:
        """Whether the role has the permission, and the fleet and the boat are within reach.

        `fleet_id` None is about no single fleet, so that a token of one fleet may not; a token of one boat
        may do nothing that is about no boat.
        """
        if self.role not in PERMISSIONS[permission]:
            return False
        if self.fleet_id is not None and self.fleet_id != fleet_id:
            return False
        return self.boat_id is None or self.boat_id == boat_id

    @property
    def actor(self) -> Actor:
        """As the trail names the holder."""
        return Actor(self.label, self.role, self.id)
