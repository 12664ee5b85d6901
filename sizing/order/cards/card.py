"""What stands on one boat's sea card: which rig it is for, her figures, and what is said of them."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Final

from sizing.drogue.drift_text import drift_text
from sizing.model import OUTSIDE_HULL, OUTSIDE_RANGE, FleetColumns, MendPlan, MusterResult, RequirementColumns
from sizing.units import both, show

REACH_M: Final = 2.0
"""Line gained by one haul between two hitches [assumed]."""

SERIES: Final = "series drogue"
_DEVICES: Final[Mapping[str, str]] = {
    "cone drogue": "a cone drogue", "parachute": "a parachute", "warps": "warps", "other": "another device",
}  # fmt: skip


@dataclass(frozen=True)
class NumberRow:
    """One figure of her rig, beside which what is aboard is written by hand."""

    name: str
    worked_out: str


@dataclass(frozen=True)
class Card:
    """One boat's card. `rig` is "series", or "other" where no series drogue is hers nor planned for her.

    `launch_when` says when its launch is hers to do, where the rig is not aboard; else it is empty. `as_of`
    is the day it was worked out, since a card that is laminated outlives its list.
    """

    entry_no: str
    boat_name: str
    boat_type: str
    rig: str
    notices: tuple[str, ...]
    launch_when: str
    numbers: tuple[NumberRow, ...]
    figures: Mapping[str, str]
    as_of: str


def cards_of(result: MusterResult) -> Iterator[Card]:
    """Give the card of each boat that has figures, in the order of the fleet."""
    fleet, needs = result.intake.fleet, result.requirements
    plans = {plan.row: plan for plan in result.plans}
    for row in range(len(fleet)):
        if row not in needs.not_computed:
            yield _card(fleet, needs, plans.get(row), row, result.today.isoformat())


def _card(
    fleet: FleetColumns, needs: RequirementColumns, plan: MendPlan | None, row: int, as_of: str
) -> Card:
    device = fleet.choice_words("device_type", row)
    choice = plan.choice if plan else "nothing"
    series = device in {SERIES, "none", None} or choice == "replace"
    whose, launch_when = _whose(device, choice, series=series)
    return Card(
        entry_no=str(fleet.text["entry_no"][row]),
        boat_name=str(fleet.text["boat_name"][row]),
        boat_type=fleet.choice_words("boat_type", row) or "",
        rig="series" if series else "other",
        notices=(whose, *(_outside(needs, row) if series else ())),
        launch_when=launch_when,
        numbers=_numbers(needs, row) if series else (),
        figures=_figures(needs, row) if series else {},
        as_of=as_of,
    )


def _whose(device: str | None, choice: str, *, series: bool) -> tuple[str, str]:
    """Which rig the card is for, and when its launch is hers to do."""
    not_yet = "FOR THE RIG ON THIS CARD. NOT ABOARD YET."
    if device is None:
        return "HER ENTRY DOES NOT SAY WHAT IS ABOARD. Only for a rig like this.", "if this rig is aboard"
    if device == "none":
        return f"{not_yet} Aboard is none.", "once this rig is aboard"
    if device != SERIES and series:
        return f"{not_yet} Aboard is {_DEVICES[device]}: nothing here is for it.", "once this rig is aboard"
    if device != SERIES:
        aboard = _DEVICES[device].upper()
        return f"ABOARD: {aboard}. No series drogue, so no figures and no steps to launch it.", ""
    if choice in {"extend", "re-rig", "replace"}:
        return "FOR HER DROGUE ONCE ITS PLANNED WORK IS DONE. NOT YET SO.", "once the work is done"
    return "FOR HER SERIES DROGUE. Measure what is aboard, and write it in.", ""


def _outside(needs: RequirementColumns, row: int) -> Iterator[str]:
    """What the source does not cover of her, in one line; nothing where it covers her."""
    side = "lighter" if needs.range_mark[row] < 0 else "heavier"
    hull, weight = bool(needs.hull_mark[row]), bool(needs.range_mark[row])
    if hull and weight:
        yield f"{OUTSIDE_HULL.capitalize()}; {OUTSIDE_RANGE} ({side})."
    elif hull:
        yield f"{OUTSIDE_HULL.capitalize()}: figures of a monohull of her weight."
    elif weight:
        yield f"{OUTSIDE_RANGE.capitalize()}: {side} than the boats of the tests."


def _numbers(needs: RequirementColumns, row: int) -> tuple[NumberRow, ...]:
    return (
        NumberRow("Cones", show(float(needs.cones[row]), "count").metric),
        NumberRow("Each bridle leg", both(float(needs.bridle_leg_m[row]), "length")),
        NumberRow("Lead line", both(float(needs.lead_length_m[row]), "length")),
        NumberRow("Line, bridle to weight", both(float(needs.line_length_m[row]), "length")),
        NumberRow("All out, stern to weight", _out(needs, row)),
        NumberRow("End weight", both(float(needs.end_weight_kg[row]), "mass")),
    )


def _out_m(needs: RequirementColumns, row: int) -> int:
    """One leg and the whole line, up to the next metre: what reaches down where the line hangs."""
    return math.ceil(float(needs.bridle_leg_m[row]) + float(needs.line_length_m[row]))


def _out(needs: RequirementColumns, row: int) -> str:
    out_m = _out_m(needs, row)
    return f"{out_m} m ({math.ceil(out_m / 0.3048)} ft)"


def _figures(needs: RequirementColumns, row: int) -> Mapping[str, str]:
    """The figures that stand in the steps."""
    low, high = float(needs.drift_low_mps[row]), float(needs.drift_high_mps[row])
    drift = drift_text(low, high, float(needs.wind_speed_mps[row]))
    cone_line_m = float(needs.line_length_m[row]) - float(needs.lead_length_m[row])
    return {
        "speeds": drift.speeds,
        "wind": drift.wind,
        "day_miles": drift.day_miles,
        "clear_miles": drift.clear_miles,
        "out": _out(needs, row),
        "out_m": str(_out_m(needs, row)),
        "lead": both(float(needs.lead_length_m[row]), "length"),
        "end_weight": both(float(needs.end_weight_kg[row]), "mass"),
        "attachment": both(float(needs.attachment_load_n[row]), "force"),
        "pull": both(float(needs.design_load_n[row]), "force"),
        "reaches": str(math.ceil(cone_line_m / REACH_M)),
    }
