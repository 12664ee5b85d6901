"""How a check is declared: its card, how it is judged, and which parts would close it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from sizing.audit.context import AuditContext
from sizing.audit.judge import Outcome
from sizing.model import Check, Level, PartGroup


@dataclass(frozen=True)
class CheckSpec:
    """One row of the register of checks.

    `parts` are what has to be made or bought where a boat is short or has none; empty where no part helps
    (a survey, a measurement, an answer).
    """

    check: Check
    judge: Callable[[AuditContext], Outcome]
    parts: tuple[PartGroup, ...] = ()


def declare(
    judge: Callable[[AuditContext], Outcome],
    check_id: str,
    sentence: str,
    *,
    rule: str,
    source: str,
    consequence: str,
    remedy: str,
    ask: str,
    provide: str = "",
    level: Level = "shall",
    dimension: str = "ratio",
    parts: tuple[PartGroup, ...] = (),
) -> CheckSpec:
    """Make a CheckSpec; the family is the part of the id before the dot."""
    family = check_id.split(".", 1)[0].replace("-", " ")
    words = consequence, remedy, ask, provide
    check = Check(check_id, family, sentence, rule, source, level, dimension, *words)
    return CheckSpec(check, judge, parts)
