"""What one boat gets her drogue back aboard with: the ropes that her recovery needs, and their blocks."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Final

from sizing.catalogue import Catalogue
from sizing.order.builder import Builder
from sizing.order.consumables import Basis, Consumable, load_consumables
from sizing.policy import Haul, Policy
from sizing.seamanship.figures import figures_of
from sizing.seamanship.recovery import (
    HAULING_SPEED_MPS,
    RecoveryRope,
    haul_of,
    hauling_pull_n,
    recovery_ropes,
)

LINE: Final = "recovery line"
"""Purpose of the one rope of them that has an eye spliced."""

RECOVERY: Final = frozenset({LINE, "hauling line", "tackle", "gripping loop"})
"""Purposes of all of them."""
BLOCK_LOAD_N: Final = 10_000.0
BLOCK_ROPE_M: Final = 0.016
"""Working load of the blocks in the table of consumables, and the thickest rope they take [assumed]."""
BASIS: Final[Mapping[Haul, Basis]] = {"winch": "winch recovery", "tackle": "tackle recovery"}


def recovery_gear(build: Builder) -> None:
    """Ropes as `recovery_ropes` sizes them, and blocks by what hauls; her own legs where they stay."""
    if "recovery gear" not in build.plan.groups:
        return
    row, fleet, need = build.plan.row, build.fleet, build.requirements
    own_leg_m = None if "bridle" in build.plan.groups else fleet.value("bridle_leg_length_m", row)
    ropes = recovery_ropes(fleet, need, build.policy, build.catalogue, row, own_leg_m)
    for rope in ropes:
        if rope.rope < 0:
            build.cannot("", f"No rope of the catalogue is strong enough for her {rope.gear}.")
            continue
        length_m = build.cut_m(rope.cut_m)
        build.add(build.catalogue.ropes.id[rope.rope], "rope", rope.gear, rope.pieces, length_m, rope.source)
    if not blocks_hold(ropes, figures_of(need, row), build.policy, build.catalogue):
        build.cannot("", "The blocks of the list are too small for her recovery: have them sized.")
    haul = haul_of(fleet.choice_words("boat_type", row) or "", build.policy)
    if need.bridle_waits[row]:
        build.cannot("", "Her recovery line is not ordered yet: the width of her transom is not known.")
    else:
        build.counted["eye splice"] = build.counted.get("eye splice", 0) + 1
        build.counted["recovery line"] = 1
    build.counted[BASIS[haul]] = 1


def blocks_hold(
    ropes: Iterable[RecoveryRope], figures: Mapping[str, float], policy: Policy, catalogue: Catalogue
) -> bool:
    """Whether the blocks of the list take the ropes that haul, and the pull. `figures` of her requirement."""
    thick = any(
        float(catalogue.ropes.diameter_m[rope.rope]) > BLOCK_ROPE_M
        for rope in ropes
        if rope.gear in {"hauling line", "tackle"} and rope.rope >= 0
    )
    pull_n = hauling_pull_n(figures, HAULING_SPEED_MPS, policy)
    return not thick and 2.0 * pull_n <= BLOCK_LOAD_N  # a line that turns back pulls twice at its block


def small_parts(haul: Haul) -> tuple[Consumable, ...]:
    """Blocks and twine that go with her ropes, as a kit has them."""
    return tuple(part for part in load_consumables() if part.basis in {"recovery line", BASIS[haul]})
