"""What stands under a drawing: a sentence that says what it means for this boat, in her own numbers.

Figures are rounded as people use them; the exact ones stand in tables and workings.
"""

from __future__ import annotations

import math

from sitegen.boat_facts import BoatFacts
from sitegen.boat_loads import Strike
from sizing.drogue.published import KNOT_MPS
from sizing.policy import Policy
from sizing.spoken import needed, spoken


def told(value_si: float, dimension: str) -> str:
    """Return a figure in both systems, rounded up.

    >>> told(8.32, "length")
    '8.4 m (27 ft 4 in)'
    """
    figure = needed(value_si, dimension)
    return f"{figure.metric} ({figure.us})" if figure else "no figure"


def placed(value_m: float) -> str:
    """Return where something is in both systems: to the nearest, for further out is no safer than nearer.

    >>> placed(0.6096)
    '0.61 m (2 ft)'
    """
    return spoken(value_m, "length", "nearest")


def whole_rig(facts: BoatFacts) -> str:
    """The rig from above."""
    figures = facts.figures
    out = told(facts.whole_length_m, "length")
    return (
        f"All of it lies {out} behind your boat: {figures['cones']:.0f} cones, each drawn where it is tied, "
        f"and {told(figures['end_weight_kg'], 'mass')} at the end."
    )


def bridle(facts: BoatFacts, width_m: float) -> str:
    """The bridle at her stern, whose strong points are so far apart."""
    return (
        f"Two legs of {told(facts.figures['bridle_leg_m'], 'length')} leave strong points "
        f"{placed(width_m)} apart. Shorter legs would spread wider "
        "and pull harder."
    )


def outer_end(facts: BoatFacts, policy: Policy) -> str:
    """The last cones and the end weight."""
    return (
        f"The last cone is tied {placed(policy.sizing.first_cone_offset)} from the end. The weight, "
        f"{told(facts.figures['end_weight_kg'], 'mass')}, sinks first and keeps the line down."
    )


def leg_load(facts: BoatFacts, share: float) -> str:
    """Load in a leg as she yaws; `share` is that of one leg at the yaw of the tests."""
    load = facts.figures["design_load_n"]
    return (
        f"When your boat yaws 10\N{DEGREE SIGN}, as boats did in tests [CG87 4.3], one leg takes "
        f"{told(share * load, 'force')} of the {told(load, 'force')}. So each leg is made to hold all of it, "
        f"and each strong point {told(facts.figures['attachment_load_n'], 'force')}, the published share."
    )


def tension(facts: BoatFacts) -> str:
    """What each part of the line bears."""
    last = facts.requirement.sections[-1]
    return (
        f"The pull is greatest at the boat, {told(facts.figures['design_load_n'], 'force')}, and falls with "
        f"each cone: the outermost section still has to bear {told(last.head_tension_n, 'force')}."
    )


def drift(facts: BoatFacts) -> str:
    """How fast she drifts."""
    wind, low, high = (
        facts.figures[name] / KNOT_MPS for name in ("wind_speed_mps", "drift_low_mps", "drift_high_mps")
    )
    return (
        f"In {wind:.0f} kn of wind your boat drifts at {low:.1f} to {high:.1f} kn: plan room with the high "
        "figure. Current comes on top."
    )


def leg_made(facts: BoatFacts, policy: Policy) -> str:
    """One leg of the bridle on the bench."""
    figures = facts.figures
    sleeve = min(policy.order.chafe_sleeve_length, figures["bridle_leg_m"])
    return (
        f"Make two alike: cut {told(figures['bridle_leg_cut_m'], 'length')}, finished "
        f"{told(figures['bridle_leg_m'], 'length')}. The sleeve covers the first {told(sleeve, 'length')} "
        "from the eye at the boat. Where a leg first touches further out, slide it there."
    )


def strike_history(strike: Strike, facts: BoatFacts) -> str:
    """One computed strike."""
    return (
        f"In one computed strike the pull on your bridle peaks at {told(strike.peak_n, 'force')} after "
        f"{strike.peak_time_s:.0f} seconds. You plan for {told(facts.figures['design_load_n'], 'force')}."
    )


def spread(strike: Strike, facts: BoatFacts) -> str:
    """How far the peak may spread."""
    return (
        f"Half of the varied strikes stay below {told(strike.median_n, 'force')}, nine in ten below "
        f"{told(strike.p90_n, 'force')}; you plan for {told(facts.figures['design_load_n'], 'force')}. Each "
        "dot is one strike in fifty."
    )


def sensitivity(shares: tuple[tuple[str, float], ...]) -> str:
    """What the spread comes from."""
    most = max(shares, key=lambda one: one[1] if math.isfinite(one[1]) else 0.0)[0]
    return f"What changes the peak most is {most}."


def side_view(facts: BoatFacts) -> str:
    """Lying to it, from the side."""
    known = "bridle_leg_m" in facts.figures
    line = told(facts.figures["line_length_m"], "length")
    out = told(facts.whole_length_m, "length") if known else f"{line}, and your bridle,"
    return (
        f"Lying to it you have {out} of gear out astern. The weight hangs deepest: keep more water than that."
    )
