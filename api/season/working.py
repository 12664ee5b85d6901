"""From what a season holds to what is made of it: the basis of a list, read once, and the work done on it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from sqlalchemy import Connection

from api.judging.measured import MeasurementError
from api.judging.required import RequiredMemo
from api.judging.run import Engine, FleetRun, Scrutiny
from api.parts import ALL, SITE, TABLES
from api.season.lists import KeptList, snapshot_before
from api.season.open_season import secret_of
from api.season.payments import payments_made
from api.season.publishing import Work
from api.season.reopening import signed_at
from api.season.rules import SeasonRules, rules_of
from api.season.stock import stock_of
from api.season.supplies import supplies_said
from api.storage.scrutiny import scrutiny_of
from sizing.drogue.strike_fleet import StrikePlan
from sizing.errors import InputError
from sizing.model import IntakeResult, Payment, Supply
from sizing.order import ClubStock, known_items
from sizing.progress import Progress, silent
from sizing.revision import Snapshot
from sizing.story import CUTTING_SECONDS, RallyRules, without_order


@dataclass(frozen=True)
class Basis:
    """What the findings and the order of a list rest on, beside the list itself."""

    rules: SeasonRules
    loaded: RallyRules
    scrutiny: Mapping[str, Scrutiny] = field(default_factory=dict)
    stock: ClubStock | None = None
    before: Snapshot | None = None
    secret: bytes = b""
    said: Mapping[str, Supply] = field(default_factory=dict)
    payments: tuple[Payment, ...] = ()


def basis_now(
    connection: Connection, fleet_id: str, rules: SeasonRules, loaded: RallyRules, number: int | None
) -> Basis:
    """The basis of list `number`, or of a new one (None), as the season stands now, by these rules."""
    return Basis(
        rules, loaded, scrutiny_of(connection, fleet_id),
        stock_of(connection, fleet_id, known_items(loaded.catalogue)),
        snapshot_before(connection, fleet_id, number), secret_of(connection),
        supplies_said(connection, fleet_id), payments_made(connection, fleet_id),
    )  # fmt: skip


def basis_then(connection: Connection, fleet_id: str, kept: KeptList) -> Basis:
    """The basis of a list as the season stood when that list came into force."""
    then = kept.in_force_at
    signed = signed_at(connection, fleet_id, then) if then else None
    rules = rules_of(connection, kept.rules or 0)
    loaded = rules.load()
    return Basis(
        rules, loaded, scrutiny_of(connection, fleet_id, at=then, signed=signed),
        stock_of(connection, fleet_id, known_items(loaded.catalogue), kept.in_force_at),
        snapshot_before(connection, fleet_id, kept.number), secret_of(connection),
        supplies_said(connection, fleet_id, then), payments_made(connection, fleet_id, then),
    )  # fmt: skip


def work_on(
    intake: IntakeResult,
    basis: Basis,
    day: dt.date,
    make: frozenset[str] = ALL,
    *,
    scheduler: str | None = None,
    cutting_seconds: float = CUTTING_SECONDS,
    progress: Progress = silent,
) -> tuple[FleetRun, Work]:
    """Judge a list that was read, and work out no more than what is to be made of it takes.

    Raises InputError where what was found aboard a boat does not go with her entry.
    """
    samples = basis.rules.samples
    strikes = None if samples is None else StrikePlan(samples, SITE in make, scheduler)
    engine = Engine(basis.loaded, strikes, cutting_seconds, RequiredMemo(basis.loaded, strikes))
    run = judged(engine, intake, basis.scrutiny, day, progress)
    if make == {TABLES}:
        result = without_order(run.intake, run.judged, run.rules, today=day)
        return run, Work(replace(result, signed_off=run.signed_off), run.rules, make)
    result = engine.finish(run, day, basis.stock, basis.said, progress)
    rules = basis.rules
    return run, Work(
        result, run.rules, make, rules.base_url, basis.before, basis.secret, rules.pages, basis.payments
    )


def judged(
    engine: Engine,
    intake: IntakeResult,
    scrutiny: Mapping[str, Scrutiny],
    day: dt.date,
    progress: Progress = silent,
) -> FleetRun:
    """Judge a list that was read with what was found aboard; InputError where the two do not go together."""
    try:
        return engine.judged(intake, scrutiny, day, progress)
    except MeasurementError as problem:
        wanted = "; ".join(f"{column}: expected {expected}" for column, _, expected, _ in problem.problems)
        raise InputError(
            "the list", f"what was found aboard a boat does not go with her new entry ({wanted})",
            "an entry that goes with what was measured", "correct the entry, or withdraw the inspection",
        ) from problem  # fmt: skip
