"""From a run's result to the snapshot of it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from decimal import Decimal
from typing import Final

import numpy as np

from sizing.catalogue import Catalogue
from sizing.entry_key import entry_key
from sizing.fields import CHOICES, FIELDS, PRIVATE
from sizing.model import CheckColumns, FleetColumns, FloatArray, MusterResult, Order, RequirementColumns
from sizing.policy import Policy
from sizing.revision.compare_rules import rule_texts
from sizing.revision.memory import remember
from sizing.revision.rejected import rejected_snapshots, row_digest
from sizing.revision.secret import NOT_KEPT, Sealer, may_tell_contact
from sizing.revision.snapshot import (
    FORMAT,
    VERSION,
    CheckSnapshot,
    Figures,
    ItemRecord,
    PlanRecord,
    Snapshot,
    Stamp,
    packed,
)

DIGITS: Final = 9
"""Significant digits of a figure in the snapshot: far finer than any comparison."""

NEEDS: Final[Mapping[str, str]] = {
    "displacement_used_kg": "mass",
    "mouth_area_required_m2": "area",
    "cones": "count",
    "design_load_n": "force",
    "line_strength_required_n": "force",
    "lead_length_m": "length",
    "line_length_m": "length",
    "bridle_leg_m": "length",
    "attachment_load_n": "force",
    "end_weight_kg": "mass",
    "stowed_mass_kg": "mass",
}
"""Columns of the requirement that a change is told for, with their dimension."""

FREE_TEXT: Final = tuple(f.name for f in FIELDS if f.kind == "text" and f.published and f.name != "entry_no")


def snapshot_of(
    result: MusterResult,
    policy: Policy,
    catalogue: Catalogue,
    *,
    key: bytes = b"",
    previous: Snapshot | None = None,
) -> Snapshot:
    """Return the snapshot of a run.

    `key` is the season's secret; without it nothing private is recorded, not even as a digest,
    and a later comparison says so. `previous` hands on which findings were open once and closed later, so
    that one which opens again is told as such.
    """
    fleet, needs = result.intake.fleet, result.requirements
    sealer = Sealer(key)
    written, sealed = _cells(fleet, sealer)
    snapshot = Snapshot(
        format=FORMAT,
        format_version=VERSION,
        stamp=_stamp(result, policy, sealer),
        rules=rule_texts(policy),
        entry_nos=tuple(str(entry) for entry in fleet.text["entry_no"]),
        names=written["boat_name"],
        row_digests=row_digests(fleet, sealer),
        written=written,
        numbers={name: _figures(column) for name, column in _numbers(fleet).items()},
        words={name: _words(fleet, name) for name in sorted(fleet.choice)},
        sealed=sealed,
        not_computed=tuple(needs.not_computed.get(row, "") for row in range(len(fleet))),
        needs={name: _needs(needs, name) for name in NEEDS},
        parts=_parts(needs, catalogue),
        checks=tuple(_check(check) for check in result.checks),
        plans=_plans(result),
        rejected=rejected_snapshots(result.intake, sealer),
        order=_items(result.order),
        ever_closed=(),
    )
    return remember(previous, snapshot) if previous else snapshot


def _stamp(result: MusterResult, policy: Policy, sealer: Sealer) -> Stamp:
    return Stamp(
        program_version=result.program_version,
        today=result.today,
        departure=policy.rally.departure,
        fleet_sha256=result.intake.sha256,
        policy_sha256=result.policy_sha256,
        catalogue_sha256=result.catalogue_sha256,
        prices_sha256=result.prices_sha256,
        struck=result.strike is not None,
        key_id=sealer.key_id,
    )


def _cells(
    fleet: FleetColumns, sealer: Sealer
) -> tuple[dict[str, tuple[str, ...]], dict[str, tuple[str, ...]]]:
    """Cells as written, and digests of those that may not be kept."""
    boats = len(fleet)
    columns = {name: _stripped(fleet.as_written[name]) for name in fleet.as_written.columns}
    entries = [str(entry) for entry in fleet.text["entry_no"]]
    private = [columns[name] for name in PRIVATE if name in columns]
    written: dict[str, tuple[str, ...]] = {}
    sealed: dict[str, tuple[str, ...]] = {}
    for name in (field.name for field in FIELDS if field.published):
        cells = columns.get(name, ("",) * boats)
        if name not in FREE_TEXT:
            written[name] = cells
            continue
        hidden = [
            bool(cell) and may_tell_contact(cell, (column[row] for column in private))
            for row, cell in enumerate(cells)
        ]
        written[name] = tuple(NOT_KEPT if hide else cell for cell, hide in zip(cells, hidden, strict=True))
        if any(hidden):
            shown = (cell if hide else "" for cell, hide in zip(cells, hidden, strict=True))
            sealed[name] = _seal(name, entries, shown, sealer)
    unpublished = (field.name for field in FIELDS if not field.published)
    for name in (*unpublished, *fleet.extra_columns):
        if any(columns.get(name, ())):
            sealed[name] = _seal(name, entries, columns[name], sealer)
    return written, sealed if sealer.key_id else {}


def _stripped(column: Iterable[str | None]) -> tuple[str, ...]:
    return tuple((cell or "").strip() for cell in column)


def _seal(name: str, entries: Iterable[str], cells: Iterable[str], sealer: Sealer) -> tuple[str, ...]:
    return tuple(
        sealer.seal("cell", name, entry_key(entry), cell) if cell else ""
        for entry, cell in zip(entries, cells, strict=True)
    )


def row_digests(fleet: FleetColumns, sealer: Sealer) -> tuple[str, ...]:
    """Return the digest of every boat's row, by which she is known again under another entry number."""
    known = {field.name for field in FIELDS}
    names = [name for name in fleet.as_written.columns if name in known]
    columns = [_stripped(fleet.as_written[name]) for name in names]
    return tuple(
        row_digest({name: column[row] for name, column in zip(names, columns, strict=True)}, sealer)
        for row in range(len(fleet))
    )


def _numbers(fleet: FleetColumns) -> dict[str, FloatArray]:
    sections = fleet.section_diameters_m
    columns = {f"section_{place + 1}_m": sections[:, place] for place in range(sections.shape[1])}
    return {name: fleet.number[name] for name in sorted(fleet.number)} | columns


def _words(fleet: FleetColumns, name: str) -> tuple[str, ...]:
    words = (*CHOICES[name], "")  # a code of -1, for blank, takes the last
    return tuple(words[code] for code in fleet.choice[name].tolist())


def _needs(needs: RequirementColumns, name: str) -> Figures:
    column = np.array(getattr(needs, name), dtype=np.float64)
    column[list(needs.not_computed)] = np.nan
    return _figures(column)


def _figures(column: FloatArray) -> Figures:
    """A column of figures; what is not there is None, never a number."""
    return packed([float(f"{value:.{DIGITS}g}") if np.isfinite(value) else None for value in column.tolist()])


def _parts(needs: RequirementColumns, catalogue: Catalogue) -> dict[str, tuple[str, ...]]:
    ropes, boats = catalogue.ropes.id, range(len(needs))

    def ids(table: tuple[str, ...], column: Iterable[int]) -> tuple[str, ...]:
        return tuple(table[place] if place >= 0 else "" for place in column)

    sections = tuple(
        "; ".join(
            f"{ropes[rope]} with {cones} cones"
            for rope, cones in zip(
                needs.section_rope[row].tolist(), needs.section_cones[row].tolist(), strict=True
            )
            if rope >= 0 and cones > 0
        )
        for row in boats
    )
    return {
        "lead_rope": ids(ropes, needs.lead_rope.tolist()),
        "sections": sections,
        "bridle_rope": ids(ropes, needs.bridle_rope.tolist()),
        "shackle": ids(catalogue.shackles.id, needs.shackle.tolist()),
        "thimble": ids(catalogue.thimbles.id, needs.thimble.tolist()),
        "cloth": ids(catalogue.cloths.id, needs.cloth.tolist()),
    }


def _check(check: CheckColumns) -> CheckSnapshot:
    return CheckSnapshot(
        id=check.check.id,
        level=check.check.level,
        dimension=check.check.dimension,
        standing="".join(map(str, check.standing.tolist())),
        required=_figures(check.required),
        found=_figures(check.found),
    )


def _plans(result: MusterResult) -> tuple[PlanRecord, ...]:
    plans = {plan.row: plan for plan in result.plans}
    none = PlanRecord(choice="nothing", groups=(), cones_to_make=0)
    return tuple(
        PlanRecord(choice=plans[row].choice, groups=plans[row].groups, cones_to_make=plans[row].cones_to_make)
        if row in plans
        else none
        for row in range(len(result.intake.fleet))
    )


def _items(order: Order) -> tuple[ItemRecord, ...]:
    """Items with what is needed of each, over all its lines (packs of several sizes)."""
    needed: dict[str, Decimal] = {}
    described = {line.item: line for line in reversed(order.lines)}
    for line in order.lines:
        needed[line.item] = needed.get(line.item, Decimal(0)) + line.needed
    return tuple(
        ItemRecord(
            item=item, description=described[item].description, unit=described[item].unit, needed=needed[item]
        )
        for item in sorted(needed)
    )
