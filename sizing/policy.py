"""The rally's own rules: limits, factors, and which checks are shall or should.

Every key has a default from the engineering basis, so an empty file is a whole policy. Quantities are
written with their unit as text ("75 ft"); bare numbers are for ratios and counts. Reading a file, with
messages that name line and key, is `sizing.policy_file`; this module holds the values and what they mean.

A policy may tighten what the basis publishes freely. Where it loosens a value it must say why, in the
`[reasons]` table, and the site shows that reason.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Literal

from pydantic import BaseModel, Field, model_validator

from sizing.entry_key import entry_key
from sizing.mail_address import MAIL_ADDRESS
from sizing.policy_rules import ROUNDING, PolicyTable, Tighter
from sizing.policy_tables import (
    AuditRules,
    ConditionRules,
    DriftRules,
    Haul,
    Milestone,
    OrderRules,
    PurchaseRules,
    Rally,
    SeaRules,
    SizingRules,
    Waiver,
    WorkshopRules,
)
from sizing.units import clip

__all__ = [
    "RULE_TABLES",
    "AuditRules",
    "Choice",
    "ConditionRules",
    "DriftRules",
    "Haul",
    "Milestone",
    "OrderRules",
    "Policy",
    "PurchaseRules",
    "Rally",
    "Rule",
    "SeaRules",
    "SizingRules",
    "Waiver",
    "WorkshopRules",
    "choices",
    "rules",
]


ACCEPTED = "audit.accepted_devices"
_MOVED = {"volunteers": "people", "workshop_days": "days", "work_hours_per_day": "hours_per_day"}
"""Keys of the workshop as they were called in [order], before it had a table of its own."""


class Policy(PolicyTable):
    """A whole rally policy."""

    rally: Rally = Rally()
    sizing: SizingRules = SizingRules()
    sea: SeaRules = SeaRules()
    drift: DriftRules = DriftRules()
    condition: ConditionRules = ConditionRules()
    order: OrderRules = OrderRules()
    workshop: WorkshopRules = WorkshopRules()
    purchase: PurchaseRules = PurchaseRules()
    audit: AuditRules = AuditRules()
    checks: Mapping[str, Literal["shall", "should"]] = Field(
        default_factory=dict, description="check id = shall or should, where it differs from the default"
    )
    waivers: tuple[Waiver, ...] = Field((), description="findings set aside, each with reason and end date")
    reasons: Mapping[str, str] = Field(
        default_factory=dict, description="table.key = why this value is looser than the basis"
    )

    @model_validator(mode="before")
    @classmethod
    def _workshop_of_before(cls, given: object) -> object:
        """A policy written before the workshop had a table of its own keeps its meaning."""
        if not isinstance(given, dict) or not isinstance(given.get("order"), dict):
            return given
        order = dict(given["order"])
        moved = {new: order.pop(old) for old, new in _MOVED.items() if old in order}
        own = given.get("workshop", {})
        if not moved or not isinstance(own, dict):
            return given
        if twice := [new for new in moved if new in own]:
            raise ValueError(
                f"workshop.{twice[0]}: it also stands in [order], under the name it had before; take that out"
            )
        return {**given, "order": order, "workshop": {**moved, **own}}

    @model_validator(mode="after")
    def _a_cone_takes_time_at_the_machine(self) -> Policy:
        shop = self.workshop
        by_hand = shop.cut_minutes_per_cone + shop.baste_minutes_per_cone + shop.turn_minutes_per_cone
        if by_hand >= self.order.sew_minutes_per_cone:
            raise ValueError(
                f"order.sew_minutes_per_cone: of {self.order.sew_minutes_per_cone:g} min a cone, {by_hand:g} "
                "go to cutting, basting and turning, and none is left at the machine; correct [workshop]"
            )
        return self

    @model_validator(mode="after")
    def _addresses_in_contact_alone(self) -> Policy:
        for key, text in _published(self):
            if address := MAIL_ADDRESS.search(text):
                raise ValueError(
                    f"{key}: “{clip(address.group())}” is a mail address, and this text stands on public "
                    "pages; write the office's address as contact in [rally], and take it out here"
                )
        return self

    @model_validator(mode="after")
    def _each_finding_waived_once(self) -> Policy:
        seen: set[tuple[str, str]] = set()
        for waiver in self.waivers:
            key = (entry_key(waiver.entry_no), waiver.check)
            if key in seen:
                raise ValueError(f"waivers: {waiver.check} of entry “{waiver.entry_no}” is waived twice")
            seen.add(key)
        return self

    @model_validator(mode="after")
    def _loosened_only_with_reason(self) -> Policy:
        for rule in rules(self):
            if rule.looser and not self.reasons.get(rule.key, "").strip():
                unit = f" {rule.unit}" if rule.unit else ""
                raise ValueError(
                    f"{rule.key}: {rule.value:g}{unit} is looser than the basis ({rule.default:g}{unit}, "
                    f"{rule.source}); "
                    f'say why in [reasons], as "{rule.key}" = "..."'
                )
        if "warps" in self.audit.accepted_devices and not self.reasons.get(ACCEPTED, "").strip():
            raise ValueError(
                "audit.accepted_devices: nothing published gives the drag of warps; "
                f'say in [reasons] why the rally takes them, as "{ACCEPTED}" = "..."'
            )
        known = {ACCEPTED, *(rule.key for rule in rules(self))}
        for key in self.reasons:
            if key not in known and not key.startswith("checks."):
                raise ValueError(f'reasons: "{key}" names no rule of the policy')
        return self


def _published(policy: Policy) -> Iterator[tuple[str, str]]:
    """Every text of a policy that stands on public pages, but for the office's own address."""
    yield "rally.name", policy.rally.name
    yield "rally.officer", policy.rally.officer
    for at, milestone in enumerate(policy.rally.milestones):
        yield f"rally.milestones.{at}.name", milestone.name
    for at, waiver in enumerate(policy.waivers):
        for name in ("entry_no", "reason", "officer"):
            yield f"waivers.{at}.{name}", getattr(waiver, name)
    for key, reason in policy.reasons.items():
        yield f"reasons.{key}", reason


@dataclass(frozen=True)
class Rule:
    """One numeric rule as it stands: for the policy page, the template and the looseness test."""

    key: str
    meaning: str
    value: float
    default: float
    source: str
    tighter: Tighter
    unit: str
    reason: str

    @property
    def looser(self) -> bool:
        """Whether the policy asks less here than the basis does."""
        if self.tighter == "higher":
            return self.value < self.default * (1 - ROUNDING)
        if self.tighter == "lower":
            return self.value > self.default * (1 + ROUNDING)
        return False


@dataclass(frozen=True)
class Choice:
    """One rule that is chosen from words, as it stands."""

    key: str
    meaning: str
    value: str


def choices(policy: Policy) -> Iterator[Choice]:
    """Every rule of the policy that is a word or a list of words, in the order of the file."""
    for table_name in RULE_TABLES:
        table: BaseModel = getattr(policy, table_name)
        for name, info in type(table).model_fields.items():
            if not isinstance(info.json_schema_extra, dict):
                value = getattr(table, name)
                if isinstance(value, bool):
                    words = "yes" if value else "no"
                elif name == "crews":
                    words = "; ".join(f"{crew.people} {', '.join(crew.can)}" for crew in value) or "none"
                else:
                    words = value if isinstance(value, str) else ", ".join(value)
                yield Choice(f"{table_name}.{name}", info.description or "", words)


RULE_TABLES = ("sizing", "sea", "drift", "condition", "order", "workshop", "audit")


def rules(policy: Policy) -> Iterator[Rule]:
    """Every numeric rule of the policy with its default, in the order of the file."""
    for table_name in RULE_TABLES:
        table: BaseModel = getattr(policy, table_name)
        for name, info in type(table).model_fields.items():
            extra = info.json_schema_extra
            if not isinstance(extra, dict):
                continue  # a list of words, not a number
            key = f"{table_name}.{name}"
            yield Rule(
                key=key,
                meaning=info.description or "",
                value=float(getattr(table, name)),
                default=float(info.default),
                source=str(extra["source"]),
                tighter=extra["tighter"],  # type: ignore[arg-type]
                unit=str(extra["unit"]),
                reason=policy.reasons.get(key, ""),
            )
