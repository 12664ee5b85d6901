"""A displacement that may be 2.2 times too small is asked about, and sizes nothing until it is confirmed.

Read in the wrong one of pounds and kilograms it would give her too few cones on too thin a line, and nothing
on her page would look wrong. The other way round the slip makes a drogue too strong: that is a warning. No
sentence names a lighter figure that would fit.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import polars as pl

from sizing.fields import CHOICES
from sizing.intake.collect import Collected
from sizing.intake.columns import Values
from sizing.intake.weight_line import too_heavy, too_light, usual_displacement_kg
from sizing.model import BoolArray
from sizing.units import both


def ask_weight(values: Values, collected: Collected, *, by_day_alone: bool = False) -> BoolArray:
    """Return which rows have a displacement that is asked about, and say so in a warning.

    `by_day_alone`: the name was seen when her list was read; it is not kept with her cells.
    """
    mass = values.number["displacement_kg"]
    usual = usual_displacement_kg(values.number, values.choice["boat_type"])
    light, heavy = too_light(mass, usual), too_heavy(mass, usual)
    confirmed = _confirmed(values.number, values.text, by_day_alone=by_day_alone)
    asked = np.asarray(light & ~confirmed)
    length = values.number["loa_m"]
    kinds = [CHOICES["boat_type"][code] for code in values.choice["boat_type"].tolist()]

    def said(row: int, what: str) -> str:
        return (
            f"{both(float(mass[row]), 'mass')} is {what} for a {kinds[row]} of "
            f"{both(float(length[row]), 'length')}: such boats are usually near "
            f"{both(float(usual[row]), 'mass')}"
        )

    rows = np.flatnonzero(asked)
    wait = "Nothing is worked out for her until it is confirmed, in displacement_confirmed and by whom"
    sentences = [f"{said(int(row), 'light')}, and kg and lb are easily mixed up. {wait}" for row in rows]
    collected.remark("warning", "weight_asked", "displacement", rows, sentences)
    rows = np.flatnonzero(heavy)
    sentences = [f"{said(int(row), 'heavy')}. It is taken as it stands; check the unit" for row in rows]
    collected.remark("warning", "weight_heavy", "displacement", rows, sentences)
    rows = np.flatnonzero(light & confirmed)
    sentences = [f"{said(int(row), 'light')}. It was confirmed, and is taken as it stands" for row in rows]
    collected.remark("interpretation", "weight_confirmed", "displacement", rows, sentences)
    return asked


def _confirmed(number: Mapping[str, np.ndarray], text: pl.DataFrame, *, by_day_alone: bool) -> BoolArray:
    """Rows in which a day and a name stand for the displacement; one of them alone confirms nothing."""
    named = text["displacement_confirmed_by"].to_numpy() != ""
    return np.asarray(np.isfinite(number["displacement_confirmed_day"]) & (named | by_day_alone))
