"""How rope and lengths of the line are worked out."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from sizing.drogue import lengths, loads
from sizing.drogue.cone import small_end_over_rope_m
from sizing.drogue.hardware import smallest_enough
from sizing.drogue.sections import section_tension_n
from sizing.drogue.size import section_rules
from sizing.drogue.workings.boat import BoatFigures, least, work
from sizing.model import Working


def line_workings(boat: BoatFigures) -> Iterator[Working]:
    """Strength and rope of the lead line, and lengths."""
    rules, section = boat.policy.sizing, section_rules(boat.policy)
    load = boat.of("design_load_n")
    published, chosen = boat.of("line_strength_required_n"), boat.of("chosen_strength_n")
    shares = (
        ("design load", load, "force"),
        ("share it may use", section.strength_use, "ratio"),
        ("share left in service", section.residual_share, "ratio"),
    )
    yield work(
        "line_strength_required",
        "Breaking strength required of a new line",
        loads.required_strength_n,
        "the greater of design load over the share of strength it may use, and design load over the share "
        "left in service (wet, eye-spliced)",
        shares,
        "force",
        "[CG87 6.3; UFC; splice from practice]",
        boat.range_words,
    )
    strike = chosen * section.residual_share / load if chosen > published * (1.0 + 1e-12) else 1.0
    yield work(
        "chosen_strength",
        "Breaking strength by which a new line is chosen",
        loads.required_strength_n,
        "the same, with the load of the simulated strike over the share left in service where the line of "
        "the published load would not hold it",
        (*shares, ("strike over design load", strike, "ratio")),
        "force",
        "[CG87 6.3; UFC; splice from practice; strike simulated]",
        boat.range_words,
    )
    yield rope_working(
        boat,
        "lead_rope",
        "Lead line and bridle, diameter",
        int(boat.requirements.lead_rope[boat.row]),
        chosen,
    )
    yield work(
        "lead_length",
        "Lead line, finished length",
        lambda length: length,
        "as the policy has it",
        (("lead line", rules.lead_line_length, "length"),),
        "length",
        "[practice]",
    )
    yield cut_working(boat, "lead_cut", "Lead line, as cut", boat.of("lead_length_m"))
    yield work(
        "cone_line",
        "Cone line, finished length",
        lengths.cone_line_m,
        "cones times pitch, and the length from the end thimble to the first cone",
        (
            ("cones", boat.of("cones"), "count"),
            ("pitch", rules.cone_pitch, "small_length"),
            ("end thimble to first cone", rules.first_cone_offset, "length"),
        ),
        "length",
        "[CG87 4.1.1; offset from practice]",
    )
    cone_line = lengths.cone_line_m(boat.of("cones"), rules.cone_pitch, rules.first_cone_offset)
    yield work(
        "line_length",
        "Whole line, bridle to end thimble",
        lengths.whole_line_m,
        "cone line and lead line",
        (("cone line", cone_line, "length"), ("lead line", boat.of("lead_length_m"), "length")),
        "length",
        "[practice]",
    )


def section_workings(boat: BoatFigures) -> Iterator[Working]:
    """Tension, rope and length of every section."""
    needed, rules = boat.requirements, section_rules(boat.policy)
    load, cones = boat.of("design_load_n"), boat.of("cones")
    inboard = 0
    for place in boat.used_sections():
        name, key = f"Section {place + 1}", f"section_{place + 1}"
        outboard = cones - inboard
        yield work(
            f"{key}_tension",
            f"{name}, tension at its head",
            section_tension_n,
            "design load times cones outboard over all cones",
            (
                ("design load", load, "force"),
                ("cones outboard", outboard, "count"),
                ("cones", cones, "count"),
            ),
            "force",
            "[derived]",
            boat.range_words,
        )
        tension = float(needed.section_tension_n[boat.row, place])
        steady = float(loads.required_strength_n(tension, rules.strength_use, rules.residual_share))
        rope = int(needed.section_rope[boat.row, place])
        yield rope_working(boat, f"{key}_rope", f"{name}, diameter", rope, steady)
        yield work(
            f"{key}_small_end",
            f"{name}, small end of its cones",
            small_end_over_rope_m,
            "the policy's small end where it goes over the rope with the clearance asked for; else the least "
            "that does, up to the next whole 5 mm",
            (
                (
                    "rope",
                    float(boat.catalogue.ropes.diameter_m[needed.section_rope[boat.row, place]]),
                    "small_length",
                ),
                ("usual small end", boat.policy.sizing.cone_small_end, "small_length"),
                ("clearance", boat.policy.sizing.small_end_clearance, "small_length"),
            ),
            "small_length",
            "[assumed]",
        )
        held = int(needed.section_cones[boat.row, place])
        length = float(needed.section_length_m[boat.row, place])
        extra = length - held * rules.cone_pitch_m
        yield work(
            f"{key}_length",
            f"{name}, finished length",
            lambda n, pitch, rest: n * pitch + rest,
            "cones on it times pitch; joints lie half a pitch from the cones beside them, and the last "
            "section has the length to the end thimble",
            (
                ("cones on it", float(held), "count"),
                ("pitch", rules.cone_pitch_m, "small_length"),
                ("joint and end", extra, "small_length"),
            ),
            "length",
            "[derived]",
        )
        yield cut_working(boat, f"{key}_cut", f"{name}, as cut", length)
        inboard += held


def rope_working(boat: BoatFigures, key: str, title: str, rope: int, required: float) -> Working:
    """The rope chosen for a strength; where a strike asked for more, the strength it asked for at most."""
    ropes, thinnest = boat.catalogue.ropes, boat.policy.sizing.least_diameter

    def diameter(strength: float, least_diameter: float) -> float:
        place = smallest_enough(ropes.minimum_strength_n, np.array([strength]))[0]
        return max(float(ropes.diameter_m[place]), least(ropes.diameter_m)(least_diameter))

    name = "strength required"
    if diameter(required, thinnest) != float(ropes.diameter_m[rope]):
        name, required = "strength the strike asks for, at most", float(ropes.minimum_strength_n[rope])
    kind = "derived row" if ropes.derived[rope] else "published row"
    return work(
        key,
        title,
        diameter,
        "thinnest rope of the catalogue whose new minimum strength reaches the figure, and not thinner than "
        f"the policy allows: {ropes.name[rope]}, {kind}",
        ((name, required, "force"), ("thinnest allowed", thinnest, "small_length")),
        "small_length",
        ropes.source[rope],
        boat.range_words,
    )


def cut_working(boat: BoatFigures, key: str, title: str, finished: float) -> Working:
    """Rope to cut for a piece with an eye at both ends."""
    eye = boat.policy.sizing.eye_splice_rope
    return work(
        key,
        title,
        lengths.cut_length_m,
        "finished length and the rope of two eye splices",
        (("finished", finished, "length"), ("rope of one eye", eye, "length")),
        "length",
        "[practice]",
    )
