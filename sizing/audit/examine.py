"""The audit itself: every check over every boat, then levels and waivers of the policy."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping

import numpy as np

from sizing.audit.context import AuditContext
from sizing.audit.if_light import if_light, not_if_light
from sizing.audit.judge import Outcome
from sizing.audit.not_read import not_read
from sizing.audit.register import REGISTER
from sizing.audit.sentences import asks_of, said_by
from sizing.audit.spec import CheckSpec
from sizing.entry_key import entry_key
from sizing.errors import PolicyError
from sizing.model import OPEN_STANDINGS, CheckColumns, FleetColumns, Standing
from sizing.policy import Policy, Waiver


def audit_fleet(context: AuditContext) -> tuple[CheckColumns, ...]:
    """Judge every boat on every check of the register.

    Returns one `CheckColumns` a check, in the order of the register; standings are after waivers, figures
    are never touched by them.

    Raises
    ------
    PolicyError
        the policy names a check that does not exist, or lowers a shall without a reason
    """
    refuse_unknown_checks(context.policy)
    rows = _waived_rows(context.fleet, context.policy)
    light = if_light(context)
    return tuple(
        _apply(context, spec, _judged(context, spec, light), rows)
        for spec in REGISTER
        if spec.of_the is None or spec.of_the in context.simulated
    )


def _judged(context: AuditContext, spec: CheckSpec, light: AuditContext | None) -> Outcome:
    """How the fleet stands on one check, a displacement that is not said to be loaded counted as a doubt."""
    outcome = not_read(context, spec, spec.judge(context))
    if light is None or spec.of_the:  # a strike is simulated once, on the figure used
        return outcome
    return not_if_light(outcome, spec.judge(light), context.blank("displacement_basis"))


def _waived_rows(fleet: FleetColumns, policy: Policy) -> Mapping[str, int]:
    """Row of every entry number, where the policy waives anything."""
    if not policy.waivers:
        return {}
    return {entry_key(str(entry)): row for row, entry in enumerate(fleet.text["entry_no"])}


def _apply(context: AuditContext, spec: CheckSpec, outcome: Outcome, rows: Mapping[str, int]) -> CheckColumns:
    level = context.policy.checks.get(spec.check.id, spec.check.level)
    check = dataclasses.replace(spec.check, level=level)
    said = said_by(context, check, outcome)
    asked = (*outcome.advice, *asks_of(context, check, outcome))
    standing, notes = outcome.standing, outcome.notes
    for waiver in context.policy.waivers:
        row = rows.get(entry_key(waiver.entry_no))
        if waiver.check == spec.check.id and row is not None:
            standing, notes = _waive(context, outcome, waiver, row)
            outcome = dataclasses.replace(outcome, standing=standing, notes=notes)
    figures = outcome.required, outcome.found, outcome.at_most
    return CheckColumns(
        check, standing, *figures, notes, outcome.needed, asked, outcome.advised, said, outcome.unread_in
    )


def _waive(context: AuditContext, outcome: Outcome, waiver: Waiver, row: int) -> tuple[
    np.ndarray, tuple[tuple[np.ndarray, str], ...]
]:  # fmt: skip
    mask = np.zeros(context.boats, dtype=np.bool_)
    mask[row] = True
    standing = outcome.standing.copy()
    if Standing(int(standing[row])) not in OPEN_STANDINGS:
        return standing, outcome.notes
    if context.today > waiver.until:
        note = f"A waiver by {waiver.officer} ended on {waiver.until.isoformat()}; the finding is open again."
        return standing, (*outcome.notes, (mask, note))
    was = Standing(int(standing[row])).words
    standing[row] = Standing.WAIVED
    note = f"Waived by {waiver.officer} until {waiver.until.isoformat()} (it was {was}): {waiver.reason}"
    return standing, (*outcome.notes, (mask, note))


def refuse_unknown_checks(policy: Policy) -> None:
    """Raise PolicyError if the policy names a check that is not in the register, or lowers one unsaid."""
    known = {spec.check.id: spec.check for spec in REGISTER}
    named = [("checks", name) for name in policy.checks]
    named += [("waivers", waiver.check) for waiver in policy.waivers]
    named += [("reasons", key.removeprefix("checks.")) for key in policy.reasons if key.startswith("checks.")]
    for table, name in named:
        if name not in known:
            raise PolicyError(
                f"policy, [{table}]", f"there is no check called “{name}”",
                "an id from the list of checks, such as “line.lead-length”",
                "correct the id; the site's page of checks lists them all",
            )  # fmt: skip
    for name, level in policy.checks.items():
        lowered = known[name].level == "shall" and level == "should"
        if lowered and not policy.reasons.get(f"checks.{name}", "").strip():
            raise PolicyError(
                f"policy, [checks], “{name}”", "what is required is lowered to advised without a reason",
                f'a line "checks.{name}" = "why" in [reasons]',
                "give the reason, or leave the check required",
            )  # fmt: skip
