"""The wave strike on the gear a boat carries today, where enough of it is known."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from sizing.audit.attachments import attachment_strength_n
from sizing.audit.context import AuditContext
from sizing.audit.strength import codes_of, line_strength_n, residual_strength_n
from sizing.drogue import rope
from sizing.drogue.drag import mouth_area_m2
from sizing.drogue.strike import StrikeRigs, rigs, strike
from sizing.drogue.strike_fleet import (
    PartStrengths,
    StrikePlan,
    cone_entrained_kg,
    hold_of,
    put_in_place,
    required_rigs,
    required_single_rigs,
    strike_columns,
)
from sizing.fields import CHOICES
from sizing.model import BoolArray, FloatArray, HoldColumns, StrikeColumns
from sizing.progress import Progress, silent

SECTIONS = 3


@dataclass(frozen=True)
class GearAboard:
    """What the strike model needs of each boat's gear, and why it cannot be computed where it cannot."""

    rigs: StrikeRigs
    strengths: PartStrengths
    unknown: dict[int, str]


def strike_aboard(
    context: AuditContext,
    needed: StrikeColumns,
    plan: StrikePlan,
    progress: Progress = silent,
) -> StrikeColumns:
    """Strike the gear aboard where it is known well enough; the other boats say what is missing.

    `needed` is the strike on the rigs they need, to hold these against.
    """
    gear = gear_aboard(context)
    labels = [f"entry {entry}" for entry in context.fleet.text["entry_no"]]
    design_load = context.requirements.design_load_n

    def tell(done: int, total: int) -> None:
        progress("Wave strikes on the gear aboard", done, total)

    columns = strike_columns(
        gear.rigs, gear.strengths, design_load, labels, context.policy, plan, gear.unknown, tell
    )
    return replace(columns, hold_required=_hold_required(context, needed, labels, gear.unknown))


def _hold_required(
    context: AuditContext, needed: StrikeColumns, labels: Sequence[str], unknown: Mapping[int, str]
) -> HoldColumns:
    """How what each boat needs holds her: her rig of cones, or a single device beside a single device."""
    struck = context.single_element.copy()
    struck[list(unknown)] = False
    rows = np.flatnonzero(struck)
    rig = required_single_rigs(context.requirements, context.policy, context.catalogue).take(rows)
    single = hold_of(strike(rig, [labels[int(row)] for row in rows]))
    return put_in_place(needed.hold, rows, single)


def gear_aboard(context: AuditContext) -> GearAboard:
    """The rigs aboard as the strike model takes them.

    A series drogue whose cones on each section are not said is not known well enough. A single cone or
    parachute is one drag element at the end of its line. Stretch is known for nylon double braid alone. The
    slack is that of the rig she needs, so that gear with more cones, on a longer line, does not start with
    more of it. Which cones are torn is not known: their share of drag is taken from all alike [assumed].
    """
    number, ropes = context.fleet.number, context.catalogue.ropes
    series, cone_count = context.series, number["cone_count"]
    cones, lengths, diameters = _sections(context)
    leg = number["bridle_leg_length_m"]
    half = np.sqrt(np.maximum(leg**2 - (number["transom_width_m"] / 2) ** 2, 0.0))
    legs_mass = 2 * rope.mass_at_diameter_kg_per_m(ropes, number["bridle_diameter_m"])
    element = np.where(context.single_element, context.element_diameter_m, 0.0)
    with np.errstate(invalid="ignore", divide="ignore"):
        pulling = np.where(series & (context.sound_cones > 0), context.sound_cones / cone_count, 1.0)
    mouth = np.where(series, number["cone_mouth_m"], context.requirements.cone_mouth_m) * np.sqrt(pulling)
    here = lengths > 0
    needed = required_rigs(context.requirements, context.policy, context.catalogue)
    built = rigs(
        displacement_kg=context.requirements.displacement_used_kg,
        slack_m=needed.slack_m,
        bridle_length_m=half,
        bridle_ea_n=2 * rope.ea_at_diameter_n(ropes, number["bridle_diameter_m"]),
        bridle_mass_kg_per_m=legs_mass,
        lead_length_m=number["lead_line_length_m"],
        lead_ea_n=rope.ea_at_diameter_n(ropes, number["lead_line_diameter_m"]),
        lead_mass_kg_per_m=rope.mass_at_diameter_kg_per_m(ropes, number["lead_line_diameter_m"]),
        section_length_m=lengths,
        section_cones=cones,
        section_ea_n=np.where(here, rope.ea_at_diameter_n(ropes, diameters), 0.0),
        section_mass_kg_per_m=np.where(here, rope.mass_at_diameter_kg_per_m(ropes, diameters), 0.0),
        cone_mouth_area_m2=mouth_area_m2(mouth),
        cone_pitch_m=np.where(series, number["cone_pitch_m"], context.policy.sizing.cone_pitch),
        cone_entrained_mass_kg=cone_entrained_kg(mouth, context.policy),
        cone_drag_coefficient=context.policy.sizing.drag_coefficient,
        element_diameter_m=element,
        element_drag_coefficient=context.policy.sizing.drag_coefficient,
        end_weight_kg=np.where(series, number["end_weight_kg"], 0.0),
        water_density_kg_m3=context.policy.sizing.water_density,
    )
    return GearAboard(built, _strengths(context, here), _missing(context))


def _sections(context: AuditContext) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Cones, length and diameter of each section, (n, 3); NaN where the cones of several are not said."""
    number = context.fleet.number
    diameters = context.fleet.section_diameters_m
    count = (~np.isnan(diameters)).sum(axis=1)[:, None]
    places = np.arange(SECTIONS)
    there = context.series[:, None] & (places < count)
    cones = np.where(there, context.section_cones, 0.0)
    pitch = np.where(np.isnan(number["cone_pitch_m"]), 0.0, number["cone_pitch_m"])
    lengths = np.nan_to_num(cones) * pitch[:, None]
    last = (places == count - 1) & (lengths > 0)
    return cones, np.where(last, lengths + context.policy.sizing.first_cone_offset, lengths), diameters


def _strengths(context: AuditContext, here: BoolArray) -> PartStrengths:
    """The least residual strength of each part aboard; NaN where not known or not there."""
    number = context.fleet.number
    by_part = {
        "bridle leg": residual_strength_n(context, number["bridle_diameter_m"], "bridle").least,
        "attachment": attachment_strength_n(context).least,
        "shackle": number["shackle_rating_n"],
        "lead line": line_strength_n(context, number["lead_line_diameter_m"]).least,
    }
    for place in range(SECTIONS):
        strength = line_strength_n(context, context.fleet.section_diameters_m[:, place]).least
        by_part[f"section {place + 1}"] = np.where(here[:, place], strength, np.nan)
    return PartStrengths({name: np.where(values > 0, values, np.nan) for name, values in by_part.items()})


def _missing(context: AuditContext) -> dict[int, str]:
    """Boats whose gear cannot be struck, with what is not known of it."""
    number = context.fleet.number
    ladder = context.catalogue.ropes.diameter_m
    nylon = CHOICES["line_material"].index("nylon double braid")
    stretch_known = context.chosen("line_material", "nylon double braid")
    stretch_known &= codes_of(context, "bridle", "material") == nylon
    both_kinds = context.series | context.single_element

    def off(name: str) -> BoolArray:
        with np.errstate(invalid="ignore"):
            return np.asarray((number[name] < ladder[0]) | (number[name] > ladder[-1]))

    wanting: list[tuple[BoolArray, str]] = [
        (np.asarray(~context.computed), "what she needs could not be computed"),
        (context.no_device, "there is no device aboard"),
        (context.unanswered, "it is not said what device is aboard"),
        (
            np.asarray(~both_kinds & ~context.no_device & ~context.unanswered),
            "the device is not one whose drag is known",
        ),
        (
            np.asarray(both_kinds & ~stretch_known),
            "the stretch of a line or bridle that is not nylon double braid is not known",
        ),
    ]
    for name, words in (
        ("lead_line_length_m", "lead line length"),
        ("lead_line_diameter_m", "lead line diameter"),
        ("bridle_leg_length_m", "bridle leg length"),
        ("bridle_diameter_m", "bridle diameter"),
    ):
        wanting.append((np.asarray(both_kinds & np.isnan(number[name])), f"{words} is not given"))
    for name, words in (
        ("cone_count", "cone count"),
        ("cone_mouth_m", "cone mouth"),
        ("cone_pitch_m", "cone pitch"),
        ("end_weight_kg", "end weight"),
    ):
        wanting.append((np.asarray(context.series & np.isnan(number[name])), f"{words} is not given"))
    sections = context.fleet.section_diameters_m
    thin = np.asarray((sections < ladder[0]) | (sections > ladder[-1])).any(axis=1)
    no_width = np.isnan(number["transom_width_m"])
    short_leg = number["bridle_leg_length_m"] <= number["transom_width_m"] / 2
    unsaid = np.isnan(context.section_cones).any(axis=1) & ~np.isnan(number["cone_count"])
    wanting += [
        (context.chosen("device_from", "bow"), "it is set from the bow, and the strike is one from astern"),
        (np.asarray(both_kinds & context.blank("device_from")),
         "it is not said whether it is set from the bow or the stern"),
        (np.asarray(context.series & unsaid),
         "the cones on each section are not given, or do not add up to the cone count"),
        (np.asarray(context.series & np.isnan(sections[:, 0])), "section diameters are not given"),
        (np.asarray(context.series & (context.sound_cones == 0.0)), "no sound cones are counted on it"),
        (np.asarray(context.series & thin), "a section's diameter is not in the catalogue"),
        (off("lead_line_diameter_m"), "the lead line's diameter is not in the catalogue"),
        (off("bridle_diameter_m"), "the bridle's diameter is not in the catalogue"),
        (np.asarray(both_kinds & no_width), "the width of the transom is not given"),
        (np.asarray(both_kinds & short_leg), "the bridle legs are too short to meet"),
        (np.asarray(context.single_element & np.isnan(context.element_diameter_m)),
         "the device's diameter is not given"),
    ]  # fmt: skip
    said: dict[int, list[str]] = {}
    for mask, words in wanting:
        for row in np.flatnonzero(mask):
            said.setdefault(int(row), []).append(words)
    return {row: "; ".join(words) for row, words in sorted(said.items())}
