"""The drawings of a boat's page, made from her facts; one is left out where its figures are."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Final, TypeVar

import numpy as np
from markupsafe import Markup

from sitegen import captions
from sitegen import drawings as svg
from sitegen.boat_facts import BoatFacts
from sitegen.boat_loads import Strike
from sizing.drogue.bridle import half_angle_rad, leg_curve, yaw_at_share_rad
from sizing.drogue.cone import pattern_of
from sizing.drogue.published import INCH_M, KNOT_MPS
from sizing.drogue.rope import new_residual_share
from sizing.drogue.strike import SAMPLED
from sizing.model import ConeSize
from sizing.policy import Policy
from sizing.seamanship.handling import all_out_m
from sizing.seamanship.register import Stage

T = TypeVar("T")
NAME_OF_PART: Final = re.compile(r' data-part="[^"]*"')
YAW_IN_TESTS_RAD: Final = math.radians(10.0)
"""To either side, as the boats of the report yawed in tests [CG87 4.3]."""
MOUTH_SLACK_M: Final = (2 * INCH_M, 3 * INCH_M)
KNOT_GAP_M: Final = (1 * INCH_M, 3 * INCH_M)
COVER_STRANDS: Final = (3, 4)
INPUT_WORDS: Final = {sampled.name: f"how {sampled.told}" for sampled in SAMPLED}
"""What the strike's varied inputs mean to a reader."""


@dataclass(frozen=True)
class Drawing:
    """One drawing as SVG, with what stands under it."""

    svg: Markup
    caption: str


@dataclass(frozen=True)
class BoatDrawings:
    """A boat's drawings by the section of the page they stand in."""

    drogue: tuple[Drawing, ...] = ()
    rig_parts: tuple[Drawing, ...] = ()
    feel: tuple[Drawing, ...] = ()
    build: tuple[Drawing, ...] = ()
    use: Mapping[Stage, tuple[Drawing, ...]] = field(default_factory=dict)
    strike: tuple[Drawing, ...] = ()


def boat_drawings(facts: BoatFacts, policy: Policy) -> BoatDrawings:
    """Return the drawings of one boat; none for a boat that was not computed."""
    if not facts.computed:
        return BoatDrawings()
    return BoatDrawings(
        drogue=tuple(_drogue(facts, policy)),
        rig_parts=tuple(_rig_parts(facts, policy)),
        feel=tuple(_feel(facts, policy)),
        build=tuple(_build(facts, policy)),
        use=_use(facts),
        strike=tuple(_strike(facts.strike, facts)) if facts.strike else (),
    )


def input_words(name: str) -> str:
    """Return what an input of the strike means to a reader."""
    return INPUT_WORDS.get(name, name)


def drawing(text: str, caption: str) -> Drawing:
    """Return a drawing as a page shows it: without the names of its parts, which only tests ask for."""
    svg_text = NAME_OF_PART.sub("", text)
    return Drawing(Markup(svg_text), caption)  # noqa: S704  the drawings escape all text they are given


@lru_cache(maxsize=64)
def _alike(draw: Callable[[str, T], str], prefix: str, figures: T, caption: str) -> Drawing:
    """A drawing that is the same for most boats: it depends on the policy more than on her."""
    return drawing(draw(prefix, figures), caption)


def _drogue(facts: BoatFacts, policy: Policy) -> Iterator[Drawing]:
    entry, figures, rules = facts.entry, facts.figures, policy.sizing
    lead, *sections = facts.requirement.sections
    if entry.transom_width_m is None or figures["bridle_leg_m"] <= entry.transom_width_m / 2.0:
        return
    rig = svg.RigDrawing(
        boat_name=entry.boat_name,
        shape=svg.HullShape(
            svg.HULL_OF_BOAT_TYPE[entry.boat_type],
            entry.loa_m,
            entry.beam_m or entry.transom_width_m,
            entry.transom_width_m,
        ),
        beam_given=entry.beam_m is not None,
        bridle_leg_m=figures["bridle_leg_m"],
        bridle_diameter_m=facts.bridle_diameter_m,
        lead_length_m=lead.length_m,
        lead_diameter_m=lead.diameter_m,
        sections=tuple(svg.RigSection(s.diameter_m, s.cones, s.length_m) for s in sections),
        cone_pitch_m=rules.cone_pitch,
        end_gap_m=rules.first_cone_offset,
        end_weight_kg=figures["end_weight_kg"],
    )
    yield drawing(
        svg.draw_rig_plan("rig", rig),
        captions.whole_rig(facts),
    )


def _rig_parts(facts: BoatFacts, policy: Policy) -> Iterator[Drawing]:
    entry, figures, rules = facts.entry, facts.figures, policy.sizing
    width_m = entry.transom_width_m
    if width_m is not None and figures["bridle_leg_m"] > width_m / 2.0:
        bridle = svg.BridlePart(width_m, figures["bridle_leg_m"], facts.bridle_diameter_m)
        yield drawing(svg.draw_bridle("bridle", bridle), captions.bridle(facts, width_m))
    end = svg.EndPart(
        int(figures["cones"]),
        figures["cone_mouth_m"],
        facts.requirement.sections[-1].small_end_m,
        rules.cone_slant,
        rules.cone_pitch,
        rules.first_cone_offset,
    )
    yield drawing(svg.draw_outer_end("end", end), captions.outer_end(facts, policy))


def _feel(facts: BoatFacts, policy: Policy) -> Iterator[Drawing]:
    figures, rules = facts.figures, policy.sizing
    load, half = figures["design_load_n"], half_angle_rad(rules.bridle_leg_ratio)
    yaw = np.unique(np.append(np.linspace(0.0, math.radians(20.0), 41), half))
    loaded, other = leg_curve(1.0, yaw, half)
    test_yaw = float(leg_curve(1.0, np.array([YAW_IN_TESTS_RAD]), half)[0][0])
    at_share = yaw_at_share_rad(rules.attachment_share, half)
    marks = [] if math.isnan(at_share) else [(at_share, rules.attachment_share)]
    marks.append((YAW_IN_TESTS_RAD, test_yaw))
    curve = svg.LegCurve(
        yaw_rad=tuple(map(float, yaw)),
        loaded_share=tuple(map(float, loaded)),
        other_share=tuple(map(float, other)),
        attachment_share=rules.attachment_share,
        slack_yaw_rad=half,
        marks=tuple(marks),
        design_load_n=load,
    )
    yield drawing(
        svg.draw_leg_curve("leg", curve),
        captions.leg_load(facts, test_yaw),
    )
    yield drawing(
        svg.draw_section_tension("tension", _tension(facts, policy)),
        captions.tension(facts),
    )


def _drift(facts: BoatFacts) -> tuple[Drawing, ...]:
    figures = facts.figures
    if not figures.get("wind_speed_mps", 0.0) > 0.0:
        return ()
    # The balance of forces makes drift proportional to wind: one figure gives a whole curve.
    stated = figures["wind_speed_mps"]
    winds = tuple(knots * KNOT_MPS for knots in range(20, 75, 5))
    low, middle, high = (
        tuple(wind * figures[name] / stated for wind in winds)
        for name in ("drift_low_mps", "drift_speed_mps", "drift_high_mps")
    )
    curve = svg.DriftCurve(winds, middle, low, high, ((stated, figures["drift_high_mps"]),))
    return (drawing(svg.draw_drift("drift", curve), captions.drift(facts)),)


def _tension(facts: BoatFacts, policy: Policy) -> svg.SectionTension:
    left = new_residual_share(policy.sizing, policy.condition)
    parts, start = [], 0.0
    for section in facts.requirement.sections:
        end = start + section.length_m
        parts.append(
            svg.LinePart(
                section.name,
                start,
                end,
                section.head_tension_n,
                section.strength_n,
                section.strength_n * left,
            )
        )
        start = end
    envelope: tuple[tuple[float, float], ...] = ()
    if facts.strike is not None and not facts.strike.reason_not_computed:
        heads = zip((p.start_m for p in parts), facts.strike.head_peak_n, strict=False)
        envelope = tuple((at, load) for at, load in heads if math.isfinite(load))
    return svg.SectionTension(tuple(parts), envelope)


def _build(facts: BoatFacts, policy: Policy) -> Iterator[Drawing]:
    figures, rules = facts.figures, policy.sizing
    for number, size in enumerate(facts.cone_sizes, 1):
        which = f"Pattern of one cone{_for_sections(facts, size)}."
        yield _alike(
            svg.draw_cone_pattern,
            f"pattern-{number}" if number > 1 else "pattern",
            _pattern(size, policy),
            f"{which} Print the measures, not the drawing, and cut a template from them.",
        )
    spacing = svg.ConeSpacing(
        rules.cone_pitch,
        figures["cone_mouth_m"],
        facts.cone_sizes[0].small_end_m,
        rules.cone_slant,
        MOUTH_SLACK_M,
        KNOT_GAP_M,
    )
    yield _alike(
        svg.draw_cone_spacing,
        "spacing",
        spacing,
        "So far apart, and with this slack in the tapes, each cone opens.",
    )
    yield _alike(
        svg.draw_tape_detail,
        "tape",
        svg.TapeDetail(COVER_STRANDS, policy.order.tapes_per_cone, policy.order.tape_length),
        "How a tape is held: under the cover only, never through the core.",
    )
    if "bridle_leg_m" not in figures:
        return
    leg = svg.BridleLeg(
        figures["bridle_leg_m"],
        figures["bridle_leg_cut_m"],
        facts.bridle_diameter_m,
        min(policy.order.chafe_sleeve_length, figures["bridle_leg_m"]),
    )
    yield drawing(svg.draw_bridle_leg("leg-made", leg), captions.leg_made(facts, policy))


def _for_sections(facts: BoatFacts, size: ConeSize) -> str:
    """For which sections a size of cone is, where she has more sizes than one."""
    if len(facts.cone_sizes) < 2:
        return ""
    sections = [s for s in facts.requirement.sections if s.cones]
    names = [s.name for s in sections if ConeSize(size.mouth_m, s.small_end_m) == size]
    return f" for {' and '.join(names)}" if names else " for the line you have"


def _pattern(size: ConeSize, policy: Policy) -> svg.ConePattern:
    flat = pattern_of(size, policy)
    return svg.ConePattern(
        size.mouth_m, size.small_end_m, flat.slant_m, flat.outer_radius_m, flat.inner_radius_m,
        flat.angle_rad, flat.seam_m, policy.order.tapes_per_cone, flat.hem_m,
    )  # fmt: skip


def _use(facts: BoatFacts) -> Mapping[Stage, tuple[Drawing, ...]]:
    """The drawings of each stage; none where what she carries is no series drogue, few without figures."""
    if facts.told.rig != "series":
        return {}
    hull, figures = svg.HULL_OF_BOAT_TYPE[facts.entry.boat_type], facts.figures
    sketches = _sketches(svg.SternView(hull, facts.told.haul == "tackle"))
    if not facts.computed:
        return sketches
    side = svg.SideView(hull, figures["lead_length_m"], int(figures["cones"]), figures["end_weight_kg"])
    return {
        **_room(facts, hull),
        **sketches,
        "lie": (
            *sketches["lie"],
            drawing(svg.draw_side_view("side", side), captions.side_view(facts)),
            *_drift(facts),
        ),
    }


def _room(facts: BoatFacts, hull: svg.Hull) -> Mapping[Stage, tuple[Drawing, ...]]:
    """The room and depth she needs; none where it is not known yet how far her drogue reaches down."""
    if "bridle_leg_m" not in facts.figures:
        return {}
    room = svg.RoomView(hull, facts.told.figures["clear_miles"], float(all_out_m(facts.figures)))
    return {"decide": (drawing(svg.draw_room("room", room), "First: is there room, and depth?"),)}


@lru_cache(maxsize=8)
def _sketches(view: svg.SternView) -> Mapping[Stage, tuple[Drawing, ...]]:
    """The sketches that are alike for all boats of one hull, recovered in one way."""
    return {
        "harbour": (
            drawing(svg.draw_stowed("stowed"), "Stowed: the end weight on top, the bridle made fast."),
        ),
        "launch": (
            drawing(svg.draw_launching("launching", view), "Launching: weight first, all keep clear."),
        ),
        "lie": (drawing(svg.draw_lying("lying", view.hull), "Lying to it: the load moves from leg to leg."),),
        "recover": (
            drawing(svg.draw_junction("junction", view), "First the junction, by the recovery line."),
            drawing(svg.draw_recovering("recovering", view), "Then the cones, reach by reach."),
        ),
    }


def _strike(strike: Strike, facts: BoatFacts) -> Iterator[Drawing]:
    if strike.reason_not_computed:
        return
    limits = (("design load", facts.figures["design_load_n"]),)
    if strike.history is not None:
        history = svg.StrikeHistory(*strike.history, strike.peak_time_s, strike.peak_n, limits)
        yield drawing(
            svg.draw_strike_history("strike", history),
            captions.strike_history(strike, facts),
        )
    if strike.quantiles_n:
        spread = svg.PeakSpread(strike.samples, strike.quantiles_n, strike.median_n, strike.p90_n, limits)
        yield drawing(
            svg.draw_peak_spread("spread", spread),
            captions.spread(strike, facts),
        )
    shares = tuple((input_words(name), share) for name, share in strike.sensitivity if math.isfinite(share))
    if shares:
        yield drawing(
            svg.draw_sensitivity("sensitivity", svg.SensitivityBars(shares)),
            captions.sensitivity(shares),
        )
