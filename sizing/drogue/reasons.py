"""Why a boat could not be computed, in a sentence that names her figure and how to mend it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

import numpy as np

from sizing.catalogue import Catalogue
from sizing.drogue.cone import MOST_SMALL_END_SHARE
from sizing.drogue.joints import APEX, ATTACHMENT, END, FIRST_SECTION, LEAD
from sizing.model import BY_THE_BRIDLE, BoolArray, FleetColumns, FloatArray, IntArray
from sizing.units import both

JOINED: Final = (
    (slice(ATTACHMENT, APEX), "bridle legs to a plate"),
    (slice(APEX, LEAD), "bridle legs to the lead line"),
    (slice(LEAD, FIRST_SECTION), "lead line to the cone line"),
    (slice(FIRST_SECTION, END), "sections to each other"),
    (slice(END, None), "cone line to its end weight"),
)
"""Joints of each kind, columns of `JointColumns`, and what they join."""


def sound(values: FloatArray) -> BoolArray:
    """Which values are finite figures above zero."""
    return np.asarray(np.isfinite(values) & (values > 0.0))


def reasons_not_computed(
    fleet: FleetColumns,
    figures: Mapping[str, FloatArray],
    positions: Mapping[str, IntArray],
    catalogue: Catalogue,
    small_end_m: FloatArray,
    unfit: BoolArray,
) -> dict[int, str]:
    """Why boats could not be computed, the first reason of each; empty where all could.

    `small_end_m` is the widest small end her cones need to go over their rope, (n,); `unfit` are the joints
    for which the catalogue has no connector that every part passes, (n, m + 3) as in `JointColumns`.
    """
    reasons: dict[int, str] = {}

    def note(mask: BoolArray, sentence: str, *, of: FloatArray | None = None, dimension: str = "") -> None:
        for row in np.flatnonzero(mask):
            shown = "" if of is None else both(float(of[row]), dimension)
            reasons.setdefault(int(row), sentence.format(shown))

    if fleet.weight_asked is not None:
        note(
            fleet.weight_asked,
            "the displacement, {}, is very light for her length, and kg and lb are easily mixed up: confirm "
            "it, or correct it",
            of=fleet.number["displacement_kg"],
            dimension="mass",
        )
    for column, words in (
        ("displacement_kg", "displacement"),
        ("loa_m", "hull length (loa)"),
    ):
        values = fleet.number[column]
        for row in np.flatnonzero(~sound(values)):
            reasons.setdefault(
                int(row),
                f"the {words} is {values[row]:g}, and a figure above zero is needed: correct the entry",
            )
    ropes, shackles = catalogue.ropes, catalogue.shackles
    note(
        (positions["lead_rope"] < 0) & np.isfinite(figures["chosen_strength_n"]),
        "the line must have a new breaking strength of {}, and the strongest rope of the catalogue, "
        f"{ropes.id[-1]}, has {both(float(ropes.minimum_strength_n[-1]), 'force')}: "
        "a drogue designed for this boat is needed, or a catalogue with stronger rope",
        of=figures["chosen_strength_n"],
        dimension="force",
    )
    note(
        (positions["shackle"] < 0) & np.isfinite(figures["chosen_strength_n"]),
        "the shackles must be as strong as the line, {}, and the strongest of the catalogue, "
        f"{shackles.id[-1]}, breaks at {both(float(shackles.breaking_load_n[-1]), 'force')}: "
        "add a stronger one to the catalogue",
        of=figures["chosen_strength_n"],
        dimension="force",
    )
    note(
        (positions["thimble"] < 0) & (positions["lead_rope"] >= 0),
        "no thimble of the catalogue takes the rope that is needed: add a larger one to the catalogue",
    )
    note(
        np.asarray(small_end_m > MOST_SMALL_END_SHARE * figures["cone_mouth_m"] * (1.0 + 1e-9)),
        "the cones need a small end of {} to go over their rope, which leaves hardly a cone of the policy's "
        "mouth: give the policy a larger cone_mouth, or a catalogue with stronger rope",
        of=small_end_m,
        dimension="small_length",
    )
    for columns, joined in JOINED:
        note(
            np.asarray(unfit[:, columns].any(axis=1)),
            f"nothing of the catalogue joins the {joined} so that every part passes: a drogue designed "
            "for this boat is needed, or a catalogue with a larger shackle",
        )
    known_width = np.isfinite(fleet.number["transom_width_m"])
    for name, values in figures.items():
        wrong = ~np.isfinite(values) | (values < 0.0)
        if name in BY_THE_BRIDLE:
            wrong &= known_width
        note(
            np.asarray(wrong if values.ndim == 1 else wrong.any(axis=1)),
            f"the {name.rsplit('_', 1)[0].replace('_', ' ')} does not come out as a figure: check the entry",
        )
    return reasons
