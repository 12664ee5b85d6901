"""Tapes for cones cut from rolls: all are equally long, so dividing a roll is already the best plan."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from sizing.errors import CatalogueError, ComputationError
from sizing.order.cutting import cut_length_mm
from sizing.policy import OrderRules

_COUNT_LIMIT: Final = 100_000_000
_LONGEST_ROLL_MM: Final = 100_000_000
_WHOLE_MM: Final = 1e-6
"""A length of whole millimetres may be this much under in floating point."""


@dataclass(frozen=True)
class TapeCuts:
    """Tapes to cut from rolls; the last roll has `last_roll_tapes`, every other one `tapes_per_roll`. mm."""

    tape_length_mm: int
    tapes: int
    roll_length_mm: int
    tapes_per_roll: int
    rolls: int
    last_roll_tapes: int


def tape_cutting_list(cones: int, roll_length_m: float, rules: OrderRules) -> TapeCuts:
    """Return how tapes for so many cones come from rolls: k = floor((L - loss) / l), rolls = ceil(n N / k).

    No tape is joined. m, lengths up to the next whole mm; a roll over one tape and its end loss. [derived]

    >>> cuts = tape_cutting_list(100, 50.0, OrderRules())
    >>> cuts.tapes, cuts.tapes_per_roll, cuts.rolls
    (300, 65, 5)
    """
    if isinstance(cones, bool) or not isinstance(cones, int | np.integer) or not 1 <= cones <= _COUNT_LIMIT:
        raise ComputationError(
            "tape cutting list",
            f"{cones!r} cones",
            f"a whole number from 1 to {_COUNT_LIMIT:,}",
            "cut for at least one cone",
        )
    length_mm = cut_length_mm(rules.tape_length)
    loss_mm = cut_length_mm(rules.spool_end_loss) if rules.spool_end_loss else 0
    if not length_mm + loss_mm <= roll_length_m * 1000 + _WHOLE_MM <= _LONGEST_ROLL_MM:
        raise CatalogueError(
            "roll of tape",
            f"{roll_length_m:g} m",
            f"at least one tape of {length_mm} mm and {loss_mm} mm lost at the end",
            "correct the length of the roll",
        )
    roll_mm = int(roll_length_m * 1000 + _WHOLE_MM)
    each = (roll_mm - loss_mm) // length_mm
    tapes = cones * rules.tapes_per_cone
    rolls = -(-tapes // each)
    return TapeCuts(length_mm, tapes, roll_mm, each, rolls, tapes - (rolls - 1) * each)
