"""The main path of the program. Read this file first.

    fleet CSV -> intake -> sizing -> audit -> plan -> order

Each step takes the columns of the one before and returns its own; nothing here computes. What comes out is
a `MusterResult`, from which tables, site and API are made.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from importlib.metadata import version
from pathlib import Path

from sizing.audit import AuditContext, audit_fleet, plan_boats, refuse_unknown_checks
from sizing.catalogue import Catalogue, load_catalogue
from sizing.drogue.size import size_fleet
from sizing.intake import read_fleet
from sizing.model import CheckColumns, IntakeResult, MusterResult, RequirementColumns
from sizing.order import PriceBook, build_order, load_prices
from sizing.policy import Policy
from sizing.policy_file import load_policy
from sizing.progress import Progress, silent

NO_PRICES = ""


@dataclass(frozen=True)
class RallyRules:
    """What a run is judged and priced by: policy, catalogue and price book, with the hash of each."""

    policy: Policy
    policy_sha256: str
    catalogue: Catalogue
    prices: PriceBook | None
    prices_sha256: str


@dataclass(frozen=True)
class Judged:
    """Intake, requirement and findings of a fleet: all a check needs, before anything is ordered."""

    intake: IntakeResult
    requirements: RequirementColumns
    context: AuditContext
    checks: tuple[CheckColumns, ...]


def load_rules(
    policy_path: Path | None = None, prices_path: Path | None = None, catalogue_folder: Path | None = None
) -> RallyRules:
    """Read policy, catalogue and price book, and refuse a policy that names checks that do not exist.

    Raises PolicyError or CatalogueError; nothing is half-applied.
    """
    policy, policy_sha256 = load_policy(policy_path)
    refuse_unknown_checks(policy)
    catalogue = load_catalogue(catalogue_folder)
    prices = load_prices(prices_path) if prices_path else None
    return RallyRules(policy, policy_sha256, catalogue, prices, prices.sha256 if prices else NO_PRICES)


def judge(intake: IntakeResult, rules: RallyRules, today: date) -> Judged:
    """Size every accepted boat and judge what she carries against it."""
    requirements = size_fleet(intake.fleet, rules.policy, rules.catalogue)
    context = AuditContext(intake.fleet, requirements, rules.policy, rules.catalogue, today)
    return Judged(intake, requirements, context, audit_fleet(context))


def muster(fleet_path: Path, rules: RallyRules, *, today: date, progress: Progress = silent) -> MusterResult:
    """The whole run: read the fleet, size, judge, plan and order.

    Raises InputError where the file as a whole cannot be used; a bad row is in `intake.rejected`, a boat
    that cannot be computed in `requirements.not_computed`.
    """
    progress("Reading the fleet", 0, 1)
    intake = read_fleet(fleet_path, fleet_path.name, today=today)
    progress("Sizing and judging", 0, 1)
    judged = judge(intake, rules, today)
    plans = plan_boats(judged.context, judged.checks)
    order = build_order(
        intake.fleet, judged.requirements, plans, rules.policy, rules.catalogue, rules.prices,
        today=today, progress=progress,
    )  # fmt: skip
    return MusterResult(
        program_version=version("drogue-muster"),
        today=today,
        policy_sha256=rules.policy_sha256,
        catalogue_sha256=rules.catalogue.sha256,
        prices_sha256=rules.prices_sha256,
        intake=intake,
        requirements=judged.requirements,
        checks=judged.checks,
        plans=plans,
        order=order,
    )


__all__: Sequence[str] = ("Judged", "RallyRules", "judge", "load_rules", "muster")
