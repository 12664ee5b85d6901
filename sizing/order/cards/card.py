"""What stands on one boat's sea card: her steps, her figures, and what is said of them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from sizing.model import MusterResult, RequirementColumns
from sizing.policy import Policy
from sizing.seamanship.figures import figures_of
from sizing.seamanship.handling import Handling, all_out, handling_of
from sizing.spoken import spoken, spoken_if_known
from sizing.units import show
from sizing.words import long_date


@dataclass(frozen=True)
class NumberRow:
    """One figure of her rig, beside which what is aboard is written by hand."""

    name: str
    worked_out: str


@dataclass(frozen=True)
class Card:
    """One boat's card.

    `as_of` is the day it was worked out, since a card that is laminated outlives its list.
    """

    entry_no: str
    boat_name: str
    told: Handling
    numbers: tuple[NumberRow, ...]
    as_of: str


def cards_of(result: MusterResult, policy: Policy) -> Iterator[Card]:
    """Give the card of each boat that has figures, in the order of the fleet."""
    fleet, needs = result.intake.fleet, result.requirements
    plans = {plan.row: plan for plan in result.plans}
    for row in range(len(fleet)):
        if row not in needs.not_computed:
            plan = plans.get(row)
            told = handling_of(fleet, needs, plan.choice if plan else "nothing", policy, row)
            yield Card(
                entry_no=str(fleet.text["entry_no"][row]),
                boat_name=str(fleet.text["boat_name"][row]),
                told=told,
                numbers=_numbers(needs, row) if told.rig == "series" else (),
                as_of=long_date(result.today),
            )


def _numbers(needs: RequirementColumns, row: int) -> tuple[NumberRow, ...]:
    return (
        NumberRow("Cones", show(float(needs.cones[row]), "count").metric),
        NumberRow("Each bridle leg", spoken_if_known(float(needs.bridle_leg_m[row]), "length", "up")),
        NumberRow("Lead line", spoken(float(needs.lead_length_m[row]), "length", "up")),
        NumberRow("Line, bridle to weight", spoken(float(needs.line_length_m[row]), "length", "up")),
        NumberRow("All out, stern to weight", all_out(figures_of(needs, row))),
        NumberRow("End weight", spoken(float(needs.end_weight_kg[row]), "mass", "up")),
    )
