"""Small fleets put together from the dataclasses, without intake or sizing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import polars as pl

from sizing.catalogue import Catalogue, load_catalogue
from sizing.fields import FIELDS
from sizing.model import FleetColumns, MendPlan, PartGroup, RequirementColumns
from sizing.policy import Policy

WHOLE: tuple[PartGroup, ...] = (
    "cones", "cone line", "lead line", "bridle", "end weight", "thimbles", "shackles", "chafe gear",
    "stowage bag",
)  # fmt: skip

NUMBERS = (
    *(f.si_name for f in FIELDS if f.kind in ("quantity", "count")), "bolt_count", "bolt_size_mm",
    "bolt_tensile_pa", "last_inspected_day", "evidence_date_day", "stowed_ready", "shackles_moused",
    "within_reach",
)  # fmt: skip


@dataclass(frozen=True)
class Boat:
    """What a test says about one boat; lengths in m, rope as a position in the catalogue."""

    entry_no: str = "1"
    boat_name: str = "Grey Plover"
    groups: tuple[PartGroup, ...] = WHOLE
    cones_to_make: int | None = None
    cones: tuple[int, ...] = (60, 41)
    ropes: tuple[int, ...] = (7, 5)
    lead_rope: int = 7
    lead_cut_m: float = 23.4696
    leg_cut_m: float = 7.8596
    heavy: bool = False
    stowed_mass_kg: float = 20.0
    stowed_volume_m3: float = 0.08
    end_weight_kg: float = 12.0
    reason_not_computed: str = ""
    own_sections_m: tuple[float, ...] = ()


@dataclass(frozen=True)
class Case:
    """Everything an order is built from."""

    fleet: FleetColumns
    requirements: RequirementColumns
    plans: tuple[MendPlan, ...]
    policy: Policy
    catalogue: Catalogue


def case(boats: Sequence[Boat], policy: Policy | None = None) -> Case:
    """A fleet of these boats with what each needs and her plan."""
    rules = policy or Policy()
    catalogue = load_catalogue()
    plans = tuple(_plan(row, boat) for row, boat in enumerate(boats))
    return Case(_fleet(boats), _requirements(boats, rules, catalogue), plans, rules, catalogue)


def _plan(row: int, boat: Boat) -> MendPlan:
    cones = sum(boat.cones) if boat.cones_to_make is None else boat.cones_to_make
    return MendPlan(
        row=row,
        choice="replace" if boat.groups else "nothing",
        groups=boat.groups,
        cones_to_make=cones if boat.groups else 0,
        hours=10.0 if boat.groups else 0.0,
        reason="A test.",
    )


def _fleet(boats: Sequence[Boat]) -> FleetColumns:
    n = len(boats)
    sections = np.full((n, 3), np.nan)
    for row, boat in enumerate(boats):
        sections[row, : len(boat.own_sections_m)] = boat.own_sections_m
    text = {field.name: [""] * n for field in FIELDS if field.kind == "text"}
    text["entry_no"] = [boat.entry_no for boat in boats]
    text["boat_name"] = [boat.boat_name for boat in boats]
    text["skipper"] = ["A. Skipper"] * n
    text["email"] = ["secret@boat.example"] * n
    text["phone"] = ["+00 000 0000"] * n
    written = {field.name: [""] * n for field in FIELDS}
    return FleetColumns(
        row_no=np.arange(1, n + 1),
        line_no=np.arange(2, n + 2),
        number={**{name: np.full(n, np.nan) for name in NUMBERS}, "loa_m": np.full(n, 12.0)},
        choice={f.name: np.full(n, -1, dtype=np.int8) for f in FIELDS if f.kind == "choice"},
        text=pl.DataFrame(text),
        as_written=pl.DataFrame(written),
        section_diameters_m=sections,
    )


def _requirements(boats: Sequence[Boat], policy: Policy, catalogue: Catalogue) -> RequirementColumns:
    n = len(boats)
    sizing = policy.sizing
    cones, ropes = np.zeros((n, 3), dtype=np.int64), np.full((n, 3), -1, dtype=np.int64)
    lengths = np.zeros((n, 3))
    for row, boat in enumerate(boats):
        used = len(boat.cones)
        cones[row, :used], ropes[row, :used] = boat.cones, boat.ropes
        lengths[row, :used] = np.array(boat.cones) * sizing.cone_pitch
        lengths[row, used - 1] += sizing.first_cone_offset
    cut = np.where(cones > 0, lengths + 2 * sizing.eye_splice_rope, 0.0)

    def floats(name: str) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
        return np.array([float(getattr(boat, name)) for boat in boats])

    lead_rope = np.array([boat.lead_rope for boat in boats], dtype=np.int64)
    heavy = np.array([boat.heavy for boat in boats], dtype=np.bool_)
    one = np.ones(n)
    return RequirementColumns(
        not_computed={r: b.reason_not_computed for r, b in enumerate(boats) if b.reason_not_computed},
        range_mark=np.zeros(n, dtype=np.int8),
        hull_mark=np.zeros(n, dtype=np.int8),
        displacement_used_kg=6000.0 * one,
        equivalent_diameter_m=1.3 * one,
        mouth_area_required_m2=1.3 * one,
        cone_mouth_m=sizing.cone_mouth * one,
        cones=cones.sum(axis=1),
        design_load_n=50_000.0 * one,
        line_strength_required_n=83_000.0 * one,
        lead_rope=lead_rope,
        lead_length_m=floats("lead_cut_m") - 2 * sizing.eye_splice_rope,
        lead_cut_m=floats("lead_cut_m"),
        section_rope=ropes,
        section_cones=cones,
        section_length_m=lengths,
        section_cut_m=cut,
        section_tension_n=np.zeros((n, 3)),
        line_length_m=lengths.sum(axis=1),
        bridle_rope=lead_rope,
        bridle_leg_m=floats("leg_cut_m") - 2 * sizing.eye_splice_rope,
        bridle_leg_cut_m=floats("leg_cut_m"),
        attachment_load_n=35_000.0 * one,
        shackle=np.full(n, 3, dtype=np.int64),
        thimble=np.full(n, 7, dtype=np.int64),
        end_weight_kg=floats("end_weight_kg"),
        wind_speed_mps=one,
        drift_low_mps=0.8 * one,
        drift_speed_mps=one,
        drift_high_mps=1.3 * one,
        cloth_areal_mass_kg_m2=catalogue.cloths.areal_mass_kg_m2[heavy.astype(np.int64)],
        stowed_mass_kg=floats("stowed_mass_kg"),
        stowed_volume_m3=floats("stowed_volume_m3"),
        labour_hours=30.0 * one,
        windage_used_m2=20.0 * one,
        air_drag_area_m2=12.0 * one,
        cloth=heavy.astype(np.int64),
        chosen_load_n=50_000.0 * one,
        chosen_attachment_n=35_000.0 * one,
        chosen_section_n=np.zeros((n, 3)),
        chosen_strength_n=83_000.0 * one,
        chosen_by=np.zeros(n, dtype=np.int8),
    )
