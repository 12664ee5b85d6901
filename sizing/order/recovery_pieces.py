"""What one boat gets her drogue back aboard with: the ropes that her recovery needs, and their blocks."""

from __future__ import annotations

from typing import Final

from sizing.order.builder import Builder
from sizing.seamanship.figures import figures_of
from sizing.seamanship.recovery import HAULING_SPEED_MPS, haul_of, hauling_pull_n, recovery_ropes

LINE: Final = "recovery line"
"""Purpose of the one rope of them that has an eye spliced."""

RECOVERY: Final = frozenset({LINE, "hauling line", "tackle", "gripping loop"})
"""Purposes of all of them."""
BLOCK_LOAD_N: Final = 10_000.0
BLOCK_ROPE_M: Final = 0.016
"""Working load of the blocks in the table of consumables, and the thickest rope they take [assumed]."""


def recovery_gear(build: Builder) -> None:
    """Ropes as `recovery_ropes` sizes them, and blocks by what hauls; her own legs where they stay."""
    if "recovery gear" not in build.plan.groups:
        return
    row, fleet, need = build.plan.row, build.fleet, build.requirements
    own_leg_m = None if "bridle" in build.plan.groups else fleet.value("bridle_leg_length_m", row)
    thick = False
    for rope in recovery_ropes(fleet, need, build.policy, build.catalogue, row, own_leg_m):
        if rope.rope < 0:
            build.cannot("", f"No rope of the catalogue is strong enough for her {rope.gear}.")
            continue
        if rope.gear in {"hauling line", "tackle"}:
            thick = thick or float(build.catalogue.ropes.diameter_m[rope.rope]) > BLOCK_ROPE_M
        length_m = build.cut_m(rope.cut_m)
        build.add(build.catalogue.ropes.id[rope.rope], "rope", rope.gear, rope.pieces, length_m, rope.source)
    pull_n = hauling_pull_n(figures_of(need, row), HAULING_SPEED_MPS, build.policy)
    if thick or 2.0 * pull_n > BLOCK_LOAD_N:  # a line that turns back on itself pulls twice at its block
        build.cannot("", "The blocks of the list are too small for her recovery: have them sized.")
    haul = haul_of(fleet.choice_words("boat_type", row) or "")
    build.counted["eye splice"] = build.counted.get("eye splice", 0) + 1
    build.counted["recovery line"] = 1
    build.counted["winch recovery" if haul == "winch" else "tackle recovery"] = 1
