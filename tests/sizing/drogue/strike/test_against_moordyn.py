"""The strike against MoorDyn, a lumped-mass program for moorings, at three weights.

Theirs: every rope, cone and end weight, in three dimensions, marched by a Runge-Kutta scheme. Ours beside it:
the boat, a few lines of Python that give MoorDyn her motion and take its pull. What the two models share is
made the same: rope and cones weigh nothing in water, only cones have drag, and that the same forward and
backward, since MoorDyn knows no other. So this checks equations and scheme, not what both leave out.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from pathlib import Path

import moordyn  # type: ignore[import-untyped]
import numpy as np
import pytest

from sizing.drogue.calibration import calibration_rigs
from sizing.drogue.strike import HELD_TIMES_S, StrikeRigs, strike

WATER = 1025.0
DEPTH = -50.0
LEAD_PIECES = 8
STEP_S, INNER_STEP_S, END_S = 2e-3, 2.5e-4, 4.5
TEMPLATE = """--- LINE TYPES ---
Name Diam MassDenInAir EA BA EI Cd Ca CdAx CaAx
(-) (m) (kg/m) (N) (N-s) (-) (-) (-) (-) (-)
{types}
--- POINTS ---
ID Type X Y Z Mass Volume CdA Ca
(#) (-) (m) (m) (m) (kg) (m^3) (m^2) (-)
{points}
--- LINES ---
ID LineType AttachA AttachB UnstrLen NumSegs Outputs
(#) (-) (#) (#) (m) (-) (-)
{lines}
--- OPTIONS ---
{step} dtM
RK2 tScheme
1025.0 WtrDnsty
1000 WtrDpth
0 writeLog
--- END ---
"""


@dataclass(frozen=True)
class Theirs:
    """Peak bridle load (N) and its time, time on the crest (s), speed and run at HELD_TIMES_S (m/s, m)."""

    peak_n: float
    when_s: float
    crest_s: float
    speed: list[float]
    run: list[float]


def ropes(boat: StrikeRigs) -> list[tuple[float, float, float, int, int]]:
    """Length, EA, mass per length, cones and pieces between cones of bridle, lead line and each section."""
    row = boat.rows()[0]
    found = [
        (row["bridle_length_m"], row["bridle_ea_n"], row["bridle_mass_kg_per_m"], 0, 1),
        (row["lead_length_m"], row["lead_ea_n"], row["lead_mass_kg_per_m"], 0, LEAD_PIECES),
    ]
    found += [
        (row["section_length_m"][i], row["section_ea_n"][i], row["section_mass_kg_per_m"][i],
         int(row["section_cones"][i]), 1)
        for i in range(3) if row["section_cones"][i]
    ]  # fmt: skip
    return found


def input_file(boat: StrikeRigs) -> str:
    """The rig as MoorDyn reads it: a point at every cone and joint; slack lies next to the boat."""
    row = boat.rows()[0]
    types: list[str] = []
    lines: list[str] = []
    points = [f"1 Coupled 0 0 {DEPTH} 0 0 0 0"]
    cone = (row["cone_entrained_mass_kg"], row["cone_drag_coefficient"] * row["cone_mouth_area_m2"])
    weight = (row["end_weight_kg"], row["end_drag_coefficient"] * (row["end_weight_kg"] / 7850.0) ** (2 / 3))
    x = float(row["slack_m"])
    for number, (length, ea, mass, cones, pieces) in enumerate(ropes(boat)):
        diameter = math.sqrt(4.0 * mass / WATER / math.pi)
        damping = row["loss_time_s"] * ea
        types.append(f"rope{number} {diameter:.9f} {mass:.9f} {ea:.6f} {damping:.9f} 0 0 0 0 0")
        rest = length - cones * row["cone_pitch_m"]
        between = [float(row["cone_pitch_m"])] * cones + ([rest] if rest > 1e-6 else [])
        for place, piece in enumerate(between):
            x -= piece
            kilograms, drag_area = cone if place < cones else (0.0, 0.0)
            lines.append(
                f"{len(lines) + 1} rope{number} {len(points)} {len(points) + 1} {piece:.9f} {pieces} -"
            )
            points.append(
                f"{len(points) + 1} Free {x:.9f} 0 {DEPTH} {kilograms:.9f} {kilograms / WATER:.12f} "
                f"{drag_area:.9f} 0"
            )
    kilograms, drag_area = weight
    points[-1] = (
        f"{len(points)} Free {x:.9f} 0 {DEPTH} {kilograms:.9f} {kilograms / WATER:.12f} {drag_area:.9f} 0"
    )
    return TEMPLATE.format(
        types="\n".join(types), points="\n".join(points), lines="\n".join(lines), step=INNER_STEP_S
    )


def by_moordyn(boat: StrikeRigs, file: Path) -> Theirs:
    """The boat marched by the trapezoid rule at steps of 2 ms, the line by MoorDyn at eighths of that."""
    row = boat.rows()[0]
    crest, displacement = float(row["crest_speed_m_s"]), float(row["displacement_kg"])
    mass = displacement * float(row["surge_mass_factor"])
    push = displacement * 9.80665 * math.tan(float(row["slope_rad"]))
    hull = 0.5 * WATER * float(row["hull_drag_coefficient"]) * (displacement / WATER) ** (2 / 3)
    file.write_text(input_file(boat), encoding="ascii")
    system = moordyn.Create(str(file))
    moordyn.SetVerbosity(system, moordyn.LEVEL_NONE)
    moordyn.Init_NoIC(system, [0.0, 0.0, DEPTH], [crest, 0.0, 0.0])
    x, speed, pull, peak, when, crest_s = 0.0, crest, 0.0, 0.0, 0.0, math.nan
    held: dict[float, tuple[float, float]] = {}
    for step in range(round(END_S / STEP_S)):
        t = step * STEP_S
        passed = crest * t - x
        if passed < row["face_run_m"]:
            force = push
        elif passed < row["face_run_m"] + row["crest_run_m"]:
            force = hull * (crest - speed) * abs(crest - speed)
        else:
            force = 0.0
            crest_s = t if math.isnan(crest_s) else crest_s
        now = -moordyn.Step(system, [x, 0.0, DEPTH], [speed, 0.0, 0.0], t, STEP_S)[0]
        new = speed + STEP_S * (force - 0.5 * (pull + now)) / mass
        x += 0.5 * STEP_S * (speed + new)
        speed, pull = new, now
        if pull > peak:
            peak, when = pull, t + STEP_S
        if any(math.isclose(t + STEP_S, at) for at in HELD_TIMES_S):
            held[round(t + STEP_S, 6)] = speed, x
    moordyn.Close(system)
    return Theirs(
        peak, when, crest_s, [held[at][0] for at in HELD_TIMES_S], [held[at][1] for at in HELD_TIMES_S]
    )


@pytest.mark.parametrize(
    "pounds", [7_500, *(pytest.param(heavy, marks=pytest.mark.thorough) for heavy in (20_000, 60_000))]
)
def test_the_strike_is_that_of_moordyn(pounds: int, tmp_path: Path) -> None:
    """Within 0.07 % in the peak in fact.

    Held to 0.3 %: our bare line has a node about every 3 m as theirs has, but elsewhere; our scheme is of the
    first order in the small losses; and their boat moves in steps of 2 ms, in which she runs 2 cm.
    """
    _, boats = calibration_rigs((pounds,))
    boat = replace(boats, backward_drag_factor=np.ones(1))
    theirs, ours = by_moordyn(boat, tmp_path / "line.txt"), strike(boat)
    assert ours.peak_load_n[0] == pytest.approx(theirs.peak_n, rel=3e-3)
    assert ours.peak_time_s[0] == pytest.approx(theirs.when_s, abs=0.02)
    assert ours.crest_time_s[0] == pytest.approx(theirs.crest_s, abs=0.02)
    assert ours.held_speed_m_s[0] == pytest.approx(theirs.speed, abs=0.05)
    assert ours.held_run_m[0] == pytest.approx(theirs.run, abs=0.05)
