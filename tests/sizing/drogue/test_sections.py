"""The lightest cone line: against brute force, and what must hold of it whatever the boat."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations, pairwise, product

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sizing.catalogue import Ropes, load_catalogue
from sizing.drogue.envelope import TensionEnvelope
from sizing.drogue.sections import SectionPlan, SectionRules, plan_sections
from sizing.errors import ComputationError
from sizing.model import FloatArray

RULES = SectionRules(
    strength_use=0.60,
    residual_share=0.765,
    cone_pitch_m=0.508,
    first_cone_offset_m=0.6096,
    eye_splice_rope_m=0.3048,
    least_diameter_m=0.010,
    max_sections=3,
)
ROPES = load_catalogue().ropes


def ladder(strengths_n: list[float], masses: list[float]) -> Ropes:
    """A catalogue of ropes of 10, 11, 12 ... mm."""
    size = len(strengths_n)
    strength = np.array(strengths_n)
    words = tuple(str(i) for i in range(size))
    return Ropes(
        id=words,
        name=words,
        construction=words,
        diameter_m=np.linspace(0.010, 0.009 + 0.001 * size, size),
        circumference_m=np.linspace(0.030, 0.027 + 0.003 * size, size),
        average_strength_n=strength,
        minimum_strength_n=strength,
        ea_n=strength,
        mass_kg_per_m=np.array(masses),
        derived=np.zeros(size, dtype=np.bool_),
        source=words,
        note=words,
    )


def rising(least: float, most: float, size: int) -> st.SearchStrategy[list[float]]:
    steps = st.lists(st.floats(least, most), min_size=size, max_size=size)
    return steps.map(lambda values: [float(v) for v in np.cumsum(values)])


@st.composite
def cases(draw: st.DrawFn) -> tuple[float, int, Ropes, SectionRules, FloatArray | None]:
    size = draw(st.integers(1, 5))
    ropes = ladder(draw(rising(1.0, 50.0, size)), draw(rising(0.01, 0.3, size)))
    rules = replace(
        RULES,
        max_sections=draw(st.integers(1, 3)),
        least_diameter_m=draw(st.sampled_from([0.006, 0.010, 0.0105, 0.012])),
        strength_use=draw(st.floats(0.3, 0.75)),
        eye_splice_rope_m=draw(st.sampled_from([0.05, 0.3048, 1.0])),
    )
    load = draw(st.floats(0.5, 60.0))
    envelope = draw(st.none() | st.lists(st.floats(0.0, 2.0), min_size=4, max_size=4))
    return load, draw(st.integers(1, 12)), ropes, rules, None if envelope is None else np.array(envelope)


FRACTIONS = np.array([0.0, 0.2, 0.7, 1.0])


def needed(inboard: int, load: float, cones: int, rules: SectionRules, envelope: FloatArray | None) -> float:
    """New strength needed where `inboard` cones lie between the place and the boat."""
    steady = load * (cones - inboard) / cones
    strength = max(steady / rules.strength_use, steady / rules.residual_share)
    if envelope is not None:
        outboard = np.maximum.accumulate(envelope[::-1])[::-1]
        strength = max(
            strength, load * np.interp(inboard / cones, FRACTIONS, outboard) / rules.residual_share
        )
    return float(strength)


def cut_mass(ropes: Ropes, rules: SectionRules, rope: list[int], held: list[int]) -> float:
    """Mass of rope as cut, eye by eye: joints lie half a pitch from the cones beside them."""
    total = 0.0
    for place, (which, cones) in enumerate(zip(rope, held, strict=True)):
        inner = rules.cone_pitch_m if place == 0 else rules.cone_pitch_m / 2
        outer = rules.first_cone_offset_m if place == len(rope) - 1 else rules.cone_pitch_m / 2
        length = inner + (cones - 1) * rules.cone_pitch_m + outer
        total += float(ropes.mass_kg_per_m[which]) * (length + 2 * rules.eye_splice_rope_m)
    return total


def lightest_by_trying_all(
    load: float, cones: int, ropes: Ropes, rules: SectionRules, envelope: FloatArray | None
) -> float | None:
    """Mass of the lightest line among every choice of ropes and joints; None if none is strong enough."""
    usable = [i for i in range(len(ropes)) if ropes.diameter_m[i] >= rules.least_diameter_m - 1e-12]
    best: float | None = None
    for count in range(1, min(rules.max_sections, cones) + 1):
        for rope in product(usable, repeat=count):
            if any(a <= b for a, b in pairwise(rope)):
                continue  # sections step down
            for joints in combinations(range(1, cones), count - 1):
                ends = [0, *joints, cones]
                strong = all(
                    ropes.minimum_strength_n[rope[place]] * (1 + 1e-9)
                    >= needed(inboard, load, cones, rules, envelope)
                    for place in range(count)
                    for inboard in range(ends[place], ends[place + 1])
                )
                held = [b - a for a, b in pairwise(ends)]
                if strong and (best is None or cut_mass(ropes, rules, list(rope), held) < best):
                    best = cut_mass(ropes, rules, list(rope), held)
    return best


def one_boat(
    load: float, cones: int, ropes: Ropes, rules: SectionRules, envelope: FloatArray | None = None
) -> SectionPlan:
    given_envelope = None if envelope is None else TensionEnvelope(FRACTIONS, envelope)
    return plan_sections(np.array([load]), np.array([float(cones)]), ropes, rules, given_envelope)


def plan_mass(plan: SectionPlan, ropes: Ropes, row: int = 0) -> float:
    used = plan.rope[row] >= 0
    return float((ropes.mass_kg_per_m[plan.rope[row][used]] * plan.cut_m[row][used]).sum())


@given(cases())
def test_no_other_choice_of_ropes_and_joints_is_lighter(
    case: tuple[float, int, Ropes, SectionRules, FloatArray | None],
) -> None:
    load, cones, ropes, rules, envelope = case
    plan = one_boat(load, cones, ropes, rules, envelope)
    best = lightest_by_trying_all(load, cones, ropes, rules, envelope)
    if best is None:
        assert (plan.rope == -1).all()
        assert plan.lead_rope[0] == -1
        return
    used = plan.rope[0] >= 0
    assert plan_mass(plan, ropes) == pytest.approx(best, rel=1e-9)
    # The mass from the plan's own lengths is the mass from its ropes and cones.
    rope, held = list(plan.rope[0][used]), list(plan.cones[0][used])
    assert cut_mass(ropes, rules, rope, held) == pytest.approx(best, rel=1e-9)
    assert sum(held) == cones


loads = st.floats(1e3, 4e5)
counts = st.integers(2, 300)


@given(loads, counts)
def test_every_section_holds_its_tension_and_no_more_ropes_than_allowed(load: float, cones: int) -> None:
    plan = one_boat(load, cones, ROPES, RULES)
    used = plan.rope[0] >= 0
    strength = ROPES.minimum_strength_n[plan.rope[0][used]]
    assert (strength * RULES.strength_use >= plan.tension_n[0][used] * (1 - 1e-9)).all()
    assert (np.diff(plan.rope[0][used]) < 0).all()
    assert plan.tension_n[0, 0] == pytest.approx(load)
    assert plan.cones[0].sum() == cones
    assert plan.lead_rope[0] == plan.rope[0, 0]


@given(loads, counts)
def test_more_sections_are_never_heavier(load: float, cones: int) -> None:
    masses = [
        plan_mass(one_boat(load, cones, ROPES, replace(RULES, max_sections=most)), ROPES)
        for most in (1, 2, 3)
    ]
    assert masses[0] >= masses[1] >= masses[2] > 0.0


@given(loads, loads, counts)
def test_more_load_never_gives_a_weaker_head_or_a_lighter_line(one: float, other: float, cones: int) -> None:
    light, heavy = sorted((one, other))
    plans = [one_boat(load, cones, ROPES, RULES) for load in (light, heavy)]
    assert plans[0].lead_rope[0] <= plans[1].lead_rope[0]
    assert plan_mass(plans[0], ROPES) <= plan_mass(plans[1], ROPES) * (1 + 1e-12)


@given(loads, counts, st.floats(0.01, 100.0))
def test_load_and_strengths_scaled_alike_give_the_same_line(load: float, cones: int, scale: float) -> None:
    scaled = replace(ROPES, minimum_strength_n=ROPES.minimum_strength_n * scale)
    one, other = one_boat(load, cones, ROPES, RULES), one_boat(load * scale, cones, scaled, RULES)
    assert plan_mass(one, ROPES) == pytest.approx(plan_mass(other, ROPES))


@given(st.lists(st.tuples(loads, counts), min_size=1, max_size=20))
def test_a_boat_s_line_does_not_depend_on_the_fleet(boats: list[tuple[float, int]]) -> None:
    load = np.array([b[0] for b in boats])
    cones = np.array([float(b[1]) for b in boats])
    together = plan_sections(load, cones, ROPES, RULES)
    for row, (its_load, its_cones) in enumerate(boats):
        alone = one_boat(its_load, its_cones, ROPES, RULES)
        assert (together.rope[row] == alone.rope[0]).all()
        assert (together.cones[row] == alone.cones[0]).all()
        assert (together.cut_m[row] == alone.cut_m[0]).all()


@given(loads, counts, st.lists(st.floats(0.0, 1.6), min_size=4, max_size=4), st.floats(0.0, 1.6))
def test_an_envelope_is_held_everywhere(load: float, cones: int, multiples: list[float], lead: float) -> None:
    plan = plan_sections(
        np.array([load]),
        np.array([float(cones)]),
        ROPES,
        RULES,
        TensionEnvelope(FRACTIONS, np.array([multiples]), np.array([lead])),
    )
    residual = ROPES.minimum_strength_n * RULES.residual_share * (1 + 1e-9)
    assert residual[plan.lead_rope[0]] >= load * max(lead, multiples[0])
    rope = np.repeat(plan.rope[0], np.maximum(plan.cones[0], 0))
    places = np.arange(cones) / cones
    assert (residual[rope] >= load * np.interp(places, FRACTIONS, multiples)).all()


def test_an_envelope_within_the_steady_rule_changes_nothing() -> None:
    load, cones = np.full(3, 70e3), np.array([100.0, 125.0, 90.0])
    plain = plan_sections(load, cones, ROPES, RULES)
    # Steady residual allows 0.765 / 0.60 of the share outboard; 1.2 of it is inside.
    mild = TensionEnvelope(np.array([0.0, 1.0]), np.array([1.2, 0.0]))
    held = plan_sections(load, cones, ROPES, RULES, mild)
    assert (held.rope == plain.rope).all()
    assert (held.cones == plain.cones).all()


def test_an_envelope_that_asks_more_upsizes_only_where_it_does() -> None:
    load, cones = np.array([70e3, 70e3]), np.array([125.0, 125.0])
    plain = plan_sections(load, cones, ROPES, RULES)
    strike = TensionEnvelope(
        FRACTIONS, np.array([[1.0, 0.8, 0.6, 0.4], [np.nan] * 4]), np.array([1.6, np.nan])
    )
    held = plan_sections(load, cones, ROPES, RULES, strike)
    assert held.rope[0, 0] == plain.rope[0, 0]
    assert held.lead_rope[0] > plain.lead_rope[0]
    assert plan_mass(held, ROPES, 0) > plan_mass(plain, ROPES, 0)
    # The second boat's strike was not computed: she is sized by the steady rule.
    assert (held.rope[1] == plain.rope[1]).all()
    assert held.lead_rope[1] == plain.lead_rope[1]


@pytest.mark.parametrize(
    ("fractions", "multiples", "lead"),
    [
        ([0.0, 0.5], [1.0, 0.5], None),
        ([0.1, 1.0], [1.0, 0.5], None),
        ([0.0, 0.6, 0.4, 1.0], [1.0, 0.5, 0.4, 0.3], None),
        ([0.0], [1.0], None),
        ([0.0, 1.0], [1.0, 0.5, 0.3], None),
        ([0.0, 1.0], [1.0, -0.5], None),
        ([0.0, 1.0], [np.inf, 0.5], None),
        ([0.0, 1.0], [1.0, 0.5], -1.0),
    ],
)
def test_an_impossible_envelope_is_refused(
    fractions: list[float], multiples: list[float], lead: float | None
) -> None:
    envelope = TensionEnvelope(np.array(fractions), np.array(multiples), lead)
    with pytest.raises(ComputationError, match="tension envelope"):
        plan_sections(np.array([1e4]), np.array([90.0]), ROPES, RULES, envelope)


def test_too_much_load_or_none_gives_no_rope() -> None:
    plan = plan_sections(np.array([1e9, np.nan, 5e4]), np.array([100.0, np.nan, 100.0]), ROPES, RULES)
    assert (plan.rope[:2] == -1).all()
    assert plan.lead_rope.tolist()[:2] == [-1, -1]
    assert plan.lead_rope[2] >= 0


def test_the_thinnest_rope_allowed_is_kept_to() -> None:
    # Project assumption: none thinner than 10 mm, so that tapes hold.
    plan = one_boat(2_000.0, 60, ROPES, RULES)
    assert ROPES.diameter_m[plan.rope[0][plan.rope[0] >= 0]].min() == pytest.approx(0.010)
    thick = one_boat(2_000.0, 60, ROPES, replace(RULES, least_diameter_m=1.0))
    assert (thick.rope == -1).all()
