"""What is on one boat's rope but cones and connectors: thimbles, end weight, chafe gear, bag, small parts."""

from __future__ import annotations

from math import ceil

import numpy as np

from sizing.drogue.hardware import chain_for, smallest_enough
from sizing.drogue.stowage import bags_needed
from sizing.model import FloatArray
from sizing.order.builder import ATTACHMENTS, ENDS, LEGS, Builder
from sizing.order.consumables import Basis, load_consumables
from sizing.order.items import STEP


def thimbles(build: Builder) -> None:
    """Two for every new run; for every run of the rig where the plan renews thimbles."""
    table = build.catalogue.thimbles
    everywhere = "thimbles" in build.plan.groups
    for run in build.runs:
        if not (run.new or everywhere):
            continue
        build.counted["eye splice"] = build.counted.get("eye splice", 0) + ENDS * run.count
        at = _smallest(table.rope_diameter_m, run.diameter_m)
        if at < 0:
            build.cannot("", f"No thimble of the catalogue takes the rope of her {run.name} "
                             f"({run.diameter_m * 1e3:g} mm).")  # fmt: skip
            continue
        source = "[CG87 6.3] reinforced"
        build.add(table.id[at], "thimble", f"{run.name}, ends", ENDS * run.count, None, source)


def _smallest(rising: FloatArray, needed: float) -> int:
    """Position of the smallest that is enough, -1 if none is."""
    return int(smallest_enough(rising, np.array(needed)))


def end_weight(build: Builder) -> None:
    """Chain of the lightest size that is no longer than the policy's end weight; the heaviest if all are."""
    if "end weight" not in build.plan.groups:
        return
    table, weight = build.catalogue.end_weights, float(build.requirements.end_weight_kg[build.plan.row])
    at = int(chain_for(build.catalogue, np.array(weight), build.policy.order.end_weight_length))
    length_m = build.cut_m(weight / float(table.mass_kg_per_m[at]))
    purpose = f"end weight, {weight:.1f} kg"
    build.add(table.id[at], "chain", purpose, 1, length_m, "[CG87 6.3] mass; [assumed] length")


def chafe_gear(build: Builder) -> None:
    """A sleeve on each bridle leg, by the thickness of the leg."""
    if "chafe gear" not in build.plan.groups:
        return
    table = build.catalogue.chafe_sleeves
    leg = next((run for run in build.runs if run.name == "bridle leg"), None)
    if leg is None:
        build.cannot("", "Her chafe sleeves have no size: her bridle has none.")
        return
    at = _smallest(table.rope_diameter_m, leg.diameter_m)
    if at < 0:
        build.cannot("", f"No chafe sleeve of the catalogue takes her bridle ({leg.diameter_m * 1e3:g} mm).")
        return
    length_m = build.cut_m(build.policy.order.chafe_sleeve_length)
    build.add(table.id[at], "sleeve", "bridle legs at the transom", LEGS, length_m, "[assumed]")


def attachments(build: Builder) -> None:
    """Plates for both sides of the transom; their size is for a surveyor."""
    if "attachments" in build.plan.groups:
        build.counted["attachment"] = ATTACHMENTS


def bag(build: Builder) -> None:
    """So many bags that none is too heavy, each the smallest that holds its share of the drogue."""
    if "stowage bag" not in build.plan.groups:
        return
    table, need, row = build.catalogue.bags, build.requirements, build.plan.row
    bags = int(bags_needed(float(need.stowed_mass_kg[row]), build.policy.audit.carry_limit))
    share_m3 = float(need.stowed_volume_m3[row]) / bags
    at = _smallest(table.volume_m3, share_m3)
    litres = f"{share_m3 * 1e3:.0f} litres{' each' if bags > 1 else ''}"
    if at < 0:
        build.cannot("", f"No bag of the catalogue holds her drogue ({litres}); have one made.")
        return
    build.add(table.id[at], "bag", f"stowage, {litres}", bags, None, "[assumed]")
    build.counted["stowage bag"] = bags


def consumables(build: Builder) -> None:
    """Small parts by what has been counted: cones, splices, shackles, bags, attachments."""
    for part in load_consumables():
        count = build.counted.get(part.basis, 0)
        if not count:
            continue
        amount = part.amount * count
        if part.item.unit == "m":
            length = float(amount.quantize(STEP["m"]))
            build.add(
                part.item.id, part.item.kind, f"for {count} × {part.basis}", 1, length, part.item.source
            )
        else:
            whole = ceil(amount)
            build.add(
                part.item.id, part.item.kind, _purpose(build, part.basis), whole, None, part.item.source
            )


def _purpose(build: Builder, basis: Basis) -> str:
    if basis != "attachment":
        return basis
    load_n = float(build.requirements.chosen_attachment_n[build.plan.row])
    return f"attachments, {ceil(load_n / 100.0) / 10.0:.1f} kN each side; a surveyor sizes them"
