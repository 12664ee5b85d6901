"""What one boat needs, remembered: an inspection changes what is found aboard, seldom what she needs."""

from __future__ import annotations

import threading
from collections import OrderedDict
from dataclasses import replace
from typing import Final

import numpy as np
import polars as pl

from sizing.drogue.strike_fleet import StrikePlan
from sizing.fields import FIELDS
from sizing.model import FleetColumns
from sizing.story import RallyRules, Required, require

NUMBERS: Final = tuple(name for field in FIELDS if field.sizes for name in field.numbers)
WORDS: Final = tuple(field.name for field in FIELDS if field.sizes and field.kind == "choice")
MOST_KEPT: Final = 2048


class RequiredMemo:
    """Sizing and strikes of the rig a boat needs, under fixed rules.

    The engine is shown the columns that size a boat and no others: if it came to read one more, it would
    fail, and not be answered with what was worked out for another figure.
    """

    def __init__(self, rules: RallyRules, strikes: StrikePlan | None) -> None:
        without = rules.policy.model_copy(update={"waivers": ()})  # a waiver changes no figure
        self._rules, self._strikes = replace(rules, policy=without), strikes
        self._known: OrderedDict[tuple[object, ...], Required] = OrderedDict()
        self._lock = threading.Lock()

    def of(self, fleet: FleetColumns) -> Required:
        """What the one boat of `fleet` needs."""
        key = (
            str(fleet.text["entry_no"][0]),  # named in the reason where she cannot be computed
            *(fleet.number[name].tobytes() for name in NUMBERS),
            *(fleet.choice[name].tobytes() for name in WORDS),
            None if fleet.weight_asked is None else bool(fleet.weight_asked[0]),
        )
        with self._lock:
            known = self._known.get(key)
            if known is not None:
                self._known.move_to_end(key)
                return known
        found = require(_sized_by(fleet), self._rules, self._strikes)
        with self._lock:
            self._known[key] = found
            if len(self._known) > MOST_KEPT:
                self._known.popitem(last=False)
        return found


def _sized_by(fleet: FleetColumns) -> FleetColumns:
    return FleetColumns(
        row_no=fleet.row_no,
        line_no=fleet.line_no,
        number={name: fleet.number[name] for name in NUMBERS},
        choice={name: fleet.choice[name] for name in WORDS},
        text=fleet.text.select("entry_no"),
        as_written=pl.DataFrame(),
        section_diameters_m=np.full((len(fleet), 0), np.nan),
        weight_asked=fleet.weight_asked,
    )
