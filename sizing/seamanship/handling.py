"""What of the register concerns one boat: her rig, how she is recovered, and her figures in words."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Final, NamedTuple

from sizing.drogue.drift_text import drift_text
from sizing.drogue.published import KNOT_MPS
from sizing.model import OUTSIDE_HULL, OUTSIDE_RANGE, FleetColumns, RequirementColumns
from sizing.policy import Haul, Policy
from sizing.seamanship.figures import figures_of
from sizing.seamanship.recovery import REACH_M, haul_of, hauling_pull_n, reaches
from sizing.seamanship.register import Place, Rig, Step, register
from sizing.spoken import spoken
from sizing.units import both

SERIES: Final = "series drogue"
_DEVICES: Final[Mapping[str, str]] = {
    "cone drogue": "a cone drogue", "parachute": "a parachute", "warps": "warps", "other": "another device",
}  # fmt: skip


NO_FIGURES: Final = "Her own figures are not worked out: … stands where one is missing."


class Whose(NamedTuple):
    """Which rig the steps are for: what has to be seen first, and what else is said of it."""

    first: str
    then: str = ""


@dataclass(frozen=True)
class Handling:
    """What one boat is told: for which rig and means of hauling, and her figures in words.

    `whose` says which rig it is for; `launch_when` when its launch is hers to do, where that rig is not
    aboard; `outside` what the source does not cover of her.
    """

    boat_type: str
    rig: Rig
    haul: Haul
    whose: Whose
    launch_when: str
    outside: tuple[str, ...]
    figures: Mapping[str, str]

    def steps(self, place: Place) -> Iterator[Step]:
        """Her steps, in order."""
        return register().steps_of(place, self.boat_type, self.rig, self.haul)


def handling_of(
    fleet: FleetColumns, needs: RequirementColumns, choice: str, policy: Policy, row: int
) -> Handling:
    """Return what boat `row` is told; `choice` is the way she is mended. Without figures, steps alone."""
    device = fleet.choice_words("device_type", row)
    series = device in {SERIES, "none", None} or choice == "replace"
    whose, launch_when = _whose(device, choice, series=series)
    boat_type = fleet.choice_words("boat_type", row) or ""
    computed = row not in needs.not_computed
    marks = _outside(int(needs.range_mark[row]), int(needs.hull_mark[row])) if computed else (NO_FIGURES,)
    return Handling(
        boat_type=boat_type,
        rig="series" if series else "other",
        haul=haul_of(boat_type, policy),
        whose=whose,
        launch_when=launch_when,
        outside=tuple(marks) if series else (),
        figures=_in_words(figures_of(needs, row), policy) if series and computed else {},
    )


def all_out_m(figures: Mapping[str, float]) -> int:
    """One leg and the whole line, up to the next metre: what reaches down where the line hangs.

    The line alone where the legs are not known yet (NaN), which whoever tells it says.
    """
    leg_m = figures["bridle_leg_m"]
    return math.ceil(figures["line_length_m"] + (0.0 if math.isnan(leg_m) else leg_m))


def all_out(figures: Mapping[str, float]) -> str:
    """The same in both systems."""
    out_m = all_out_m(figures)
    legs = " and her legs" if math.isnan(figures["bridle_leg_m"]) else ""
    return f"{out_m} m ({math.ceil(out_m / 0.3048)} ft){legs}"


def _whose(device: str | None, choice: str, *, series: bool) -> tuple[Whose, str]:
    """Which rig the steps are for, and when its launch is hers to do."""
    not_yet = "For the rig shown here. Not aboard yet."
    if device is None:
        said = Whose("Her entry does not say what is aboard.", "Only for a rig like this.")
        return said, "if this rig is aboard"
    if device == "none":
        return Whose(not_yet, "No drogue is aboard."), "once this rig is aboard"
    if device != SERIES and series:
        return Whose(
            not_yet, f"Aboard: {_DEVICES[device]}. Nothing here is for it."
        ), "once this rig is aboard"
    if device != SERIES:
        said = Whose(
            f"Aboard: {_DEVICES[device]}.", "No series drogue, so no figures and no steps to launch it."
        )
        return said, ""
    if choice in {"extend", "re-rig", "replace"}:
        return Whose("For her drogue as planned. That work is not done yet."), "once the work is done"
    return Whose("For her series drogue.", "Measure what is aboard."), ""


def _outside(range_mark: int, hull_mark: int) -> Iterator[str]:
    """What the source does not cover of her, in one line; nothing where it covers her."""
    side = "lighter" if range_mark < 0 else "heavier"
    if hull_mark and range_mark:
        yield f"{OUTSIDE_HULL.capitalize()}; {OUTSIDE_RANGE} ({side})."
    elif hull_mark:
        yield f"{OUTSIDE_HULL.capitalize()}: figures of a monohull of her weight."
    elif range_mark:
        yield f"{OUTSIDE_RANGE.capitalize()}: {side} than the boats of the tests."


def _in_words(figures: Mapping[str, float], policy: Policy) -> Mapping[str, str]:
    """The figures that stand in the steps."""
    drift = drift_text(figures["drift_low_mps"], figures["drift_high_mps"], figures["wind_speed_mps"])
    cone_line_m = figures["line_length_m"] - figures["lead_length_m"]
    pulls = {
        f"pull_{knots}": spoken(hauling_pull_n(figures, knots * KNOT_MPS, policy), "force", "up")
        for knots in (1, 2)
    }
    return {
        "speeds": drift.speeds,
        "wind": drift.wind,
        "day_miles": drift.day_miles,
        "clear_miles": drift.clear_miles,
        "out": all_out(figures),
        "out_m": f"{'more than ' if math.isnan(figures['bridle_leg_m']) else ''}{all_out_m(figures)}",
        "lead": spoken(figures["lead_length_m"], "length", "up"),
        "end_weight": spoken(figures["end_weight_kg"], "mass", "up"),
        "attachment": spoken(figures["attachment_load_n"], "force", "up"),
        "pull": spoken(figures["design_load_n"], "force", "up"),
        "reach": both(REACH_M, "length"),
        "reaches": str(reaches(cone_line_m)),
        **pulls,
    }
