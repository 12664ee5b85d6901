"""The main path of the program. Read this file first.

    fleet CSV -> intake -> sizing -> strike -> audit -> plan -> order

Each step takes the columns of the one before and returns its own; nothing here computes. What comes out is
a `MusterResult`, from which tables, site and API are made.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from importlib.metadata import version
from pathlib import Path
from types import MappingProxyType
from typing import Final

from sizing.audit import AuditContext, audit_fleet, plan_options, refuse_unknown_checks
from sizing.audit.aboard import strike_aboard
from sizing.catalogue import Catalogue, load_catalogue
from sizing.drogue.ride_fleet import ride_required
from sizing.drogue.size import size_fleet
from sizing.drogue.strengthen import strike_required
from sizing.drogue.strike_fleet import StrikePlan
from sizing.intake import read_fleet
from sizing.model import (
    CheckColumns,
    FleetColumns,
    IntakeResult,
    MendPlan,
    MusterResult,
    Order,
    RequirementColumns,
    RideColumns,
    StrikeColumns,
    Supply,
)
from sizing.order import (
    ClubStock,
    PriceBook,
    choose_plans,
    kits_for,
    known_items,
    load_prices,
    order_with_consent,
    workshop_plan,
)
from sizing.policy import Policy, Waiver
from sizing.policy_file import load_policy
from sizing.progress import Progress, silent
from sizing.supplies import supplies_of
from sizing.waivers import needless_waivers, waivers_here

CUTTING_SECONDS = 60.0
NOTHING_SAID: Final[Mapping[str, Supply]] = MappingProxyType({})
NO_ORDER = Order((), (), (), (), (), "", None, {})


@dataclass(frozen=True)
class RallyRules:
    """What a run is judged and priced by: policy, catalogue and price book, with the hash of each."""

    policy: Policy
    policy_sha256: str
    catalogue: Catalogue
    prices: PriceBook | None

    def waiving(self, waivers: Sequence[Waiver]) -> RallyRules:
        """The same with these waivers and no others."""
        return replace(self, policy=self.policy.model_copy(update={"waivers": tuple(waivers)}))


@dataclass(frozen=True)
class Required:
    """What boats need, and what a wave does to the rig they need; the gear they carry has no say."""

    requirements: RequirementColumns
    strike: StrikeColumns | None
    ride: RideColumns | None


@dataclass(frozen=True)
class Judged:
    """Requirement, strikes and findings of a fleet: all there is to know before anything is ordered."""

    requirements: RequirementColumns
    strike: StrikeColumns | None
    ride: RideColumns | None
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
    prices = load_prices(prices_path, known_items(catalogue)) if prices_path else None
    return RallyRules(policy, policy_sha256, catalogue, prices)


def with_waivers(
    rules: RallyRules, intake: IntakeResult, given: Sequence[Waiver] = ()
) -> tuple[RallyRules, IntakeResult]:
    """The rules with the waivers, those `given` too, about boats of this list; the others are noted on it."""
    waivers, said = waivers_here((*rules.policy.waivers, *given), intake)
    return rules.waiving(waivers), replace(intake, file_notes=(*intake.file_notes, *said))


def require(
    fleet: FleetColumns, rules: RallyRules, strikes: StrikePlan | None, progress: Progress = silent
) -> Required:
    """Size every accepted boat and strike her rig; without `strikes` no wave is simulated."""
    policy, catalogue = rules.policy, rules.catalogue
    if strikes is None:
        return Required(size_fleet(fleet, policy, catalogue), None, None)
    requirements, strike = strike_required(fleet, policy, catalogue, strikes, progress)
    if not strikes.samples:
        return Required(requirements, strike, None)
    labels = [f"entry {entry}" for entry in fleet.text["entry_no"]]
    return Required(requirements, strike, ride_required(requirements, policy, catalogue, labels))


def judge(
    fleet: FleetColumns,
    rules: RallyRules,
    today: date,
    strikes: StrikePlan | None,
    progress: Progress = silent,
    required: Required | None = None,
) -> Judged:
    """Size every accepted boat, strike her rig and her gear aboard, and judge what she carries.

    Without `strikes` no wave is simulated, and the checks against it are left out. `required` is what
    `require` gave for the same boats, where it is known already.
    """
    policy, catalogue = rules.policy, rules.catalogue
    needed = required or require(fleet, rules, strikes, progress)
    context = AuditContext(fleet, needed.requirements, policy, catalogue, today, ride=needed.ride)
    if strikes is not None and needed.strike is not None:
        aboard = strike_aboard(context, needed.strike, strikes, progress)
        context = replace(context, strike_aboard=aboard)
    return Judged(needed.requirements, needed.strike, needed.ride, context, audit_fleet(context))


def muster(
    fleet_path: Path,
    rules: RallyRules,
    *,
    today: date,
    strikes: StrikePlan | None = None,
    progress: Progress = silent,
) -> MusterResult:
    """The whole run: read the fleet, size, strike, judge, plan and order.

    Raises InputError where the file as a whole cannot be used; a bad row is in `intake.rejected`, a boat
    that cannot be computed in `requirements.not_computed`.
    """
    intake = read_fleet(fleet_path, fleet_path.name, today=today, progress=progress)
    return muster_intake(intake, rules, today=today, strikes=strikes, progress=progress)


def muster_intake(
    intake: IntakeResult,
    rules: RallyRules,
    *,
    today: date,
    strikes: StrikePlan | None = None,
    stock: ClubStock | None = None,
    progress: Progress = silent,
) -> MusterResult:
    """The run from a fleet that has been read: size, strike, judge, plan and order.

    `stock` is what the club has already: it is used first, and nothing is bought twice.
    """
    rules, intake = with_waivers(rules, intake)
    judged = judge(intake.fleet, rules, today, strikes, progress)
    return conclude(intake, judged, rules, today=today, stock=stock, progress=progress)


def conclude(
    intake: IntakeResult,
    judged: Judged,
    rules: RallyRules,
    *,
    today: date,
    stock: ClubStock | None = None,
    said: Mapping[str, Supply] = NOTHING_SAID,
    cutting_seconds: float = CUTTING_SECONDS,
    progress: Progress = silent,
) -> MusterResult:
    """From judged boats to the whole result: choose how each is mended, order, plan the making of the kits.

    `said` is what was said of how boats get their parts beside the list, by the key of the entry number.
    """
    plans = choose_plans(
        plan_options(judged.context, judged.checks),
        intake.fleet,
        judged.requirements,
        rules.policy,
        rules.catalogue,
        rules.prices,
    )
    order = order_with_consent(
        intake.fleet,
        judged.requirements,
        plans,
        supplies_of(intake.fleet, said),
        rules.policy,
        rules.catalogue,
        rules.prices,
        time_limit_s=cutting_seconds,
        today=today,
        progress=progress,
        stock=stock,
        context=judged.context,
        strike=judged.strike,
    )
    result = _together(intake, judged, rules, today, plans, order)
    kits = kits_for(order, intake.fleet, result.made, plans, rules.policy)
    return replace(result, workshop=workshop_plan(kits, rules.policy))


def without_order(intake: IntakeResult, judged: Judged, rules: RallyRules, *, today: date) -> MusterResult:
    """From judged boats to a result in which nothing was planned or ordered."""
    return _together(intake, judged, rules, today, (), NO_ORDER)


def _together(
    intake: IntakeResult,
    judged: Judged,
    rules: RallyRules,
    today: date,
    plans: tuple[MendPlan, ...],
    order: Order,
) -> MusterResult:
    needless = needless_waivers(rules.policy.waivers, intake.fleet, judged.checks)
    return MusterResult(
        program_version=version("drogue-muster"),
        today=today,
        policy_sha256=rules.policy_sha256,
        catalogue_sha256=rules.catalogue.sha256,
        prices_sha256=rules.prices.sha256 if rules.prices else "",
        intake=replace(intake, file_notes=(*intake.file_notes, *needless)),
        requirements=judged.requirements,
        checks=judged.checks,
        plans=plans,
        order=order,
        strike=judged.strike,
        strike_aboard=judged.context.strike_aboard,
        ride=judged.ride,
    )
