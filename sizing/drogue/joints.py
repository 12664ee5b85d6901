"""What joins the parts of every boat's rig: a connector for each joint that every part passes, as columns.

One size of shackle cannot serve a whole rig: at the end weight its pin has to go through a link of chain, at
the apex of the bridle two thimbles lie side by side in its bow. So each joint has its own: the weakest
shackle of the catalogue that is no weaker than the line [CG87 6.3; assumed] and that all parts pass. Sections
of the cone line are joined eye through eye where their thimbles go through each other, and by a shackle
where they do not; the lead line comes off the cone line by a shackle, so that either can be carried and
renewed alone [practice, no source].
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from sizing.catalogue import Catalogue
from sizing.drogue.hardware import chain_for, smallest_enough, thimble_for
from sizing.drogue.passing import Fits, fits
from sizing.drogue.published import GRAVITY_MPS2
from sizing.drogue.rig import at
from sizing.model import BoolArray, CodeArray, FloatArray, IntArray, RequirementColumns
from sizing.policy import Policy

ATTACHMENT, APEX, LEAD, FIRST_SECTION = range(4)
"""Columns of a rig's joints from the boat outward: attachments, bridle apex, lead line to cone line, then the
joints of the sections among themselves, and last, in column -1, the end weight."""

END: Final = -1
NONE_FITS, SHACKLE, TWO_SHACKLES, EYE_THROUGH_EYE = -1, 0, 1, 2
"""Codes of `JointColumns.connector`."""

END_LOAD_WEIGHTS: Final = 20.0
"""Load at the outer end in a strike over the end weight: 9 to 14 in simulated strikes, half as much again
[derived; margin assumed]."""


@dataclass(frozen=True)
class RigEnds:
    """Thimbles of n rigs, positions in the catalogue, and what their joints must bear; sections are (n, m).

    Thimble -1 is a part that is not there. Sections stand from the boat outward, those not there last.
    `section_strength_n` is the new strength of each section's rope. Diameters are of the rope that lies in
    the thimbles, NaN where it is not known.
    """

    bridle: IntArray
    lead: IntArray
    section: IntArray
    bridle_diameter_m: FloatArray
    lead_diameter_m: FloatArray
    section_diameter_m: FloatArray
    line_strength_n: FloatArray
    section_strength_n: FloatArray
    design_load_n: FloatArray
    section_tension_n: FloatArray
    end_weight_kg: FloatArray

    def __len__(self) -> int:
        return len(self.lead)


@dataclass(frozen=True)
class JointColumns:
    """What joins every boat's rig, (n, m + 3) each for m sections, in the order of the columns above.

    `used` are the joints she has; `connector` one of the codes above; `shackle` and `second` positions in the
    catalogue, -1 for none (of two shackles the second takes the link of the end weight). `load_n` is the load
    of the design case and `strength_required_n` what the joint must break above. `chain` (n,) is the end
    weight's.
    """

    used: BoolArray
    connector: CodeArray
    shackle: IntArray
    second: IntArray
    load_n: FloatArray
    strength_required_n: FloatArray
    chain: IntArray

    @property
    def counts(self) -> IntArray:
        """How many of each joint a rig has: an attachment on either side."""
        counts = np.ones(self.used.shape[1], dtype=np.int64)
        counts[ATTACHMENT] = 2
        return counts

    @property
    def unfit(self) -> BoolArray:
        """Joints she has for which no connector of the catalogue goes together with the parts."""
        return np.asarray(self.used & (self.connector == NONE_FITS))

    def shackles_kg(self, catalogue: Catalogue) -> FloatArray:
        """Mass of all shackles of each rig. kg, (n,)."""
        mass = catalogue.shackles.mass_kg
        each = np.zeros(self.shackle.shape)
        for shackles in (self.shackle, self.second):
            each += np.where(self.used & (shackles >= 0), mass[shackles], 0.0)
        total: FloatArray = (each * self.counts).sum(axis=1)
        return total


def rig_ends(
    catalogue: Catalogue,
    lead_rope: IntArray,
    bridle_rope: IntArray,
    section_rope: IntArray,
    line_strength_n: FloatArray,
    design_load_n: FloatArray,
    section_tension_n: FloatArray,
    end_weight_kg: FloatArray,
) -> RigEnds:
    """The ends of rigs of new rope; ropes are positions in the catalogue, sections (n, 3), -1 for none."""
    return RigEnds(
        bridle=thimble_for(catalogue, bridle_rope),
        lead=thimble_for(catalogue, lead_rope),
        section=thimble_for(catalogue, section_rope),
        bridle_diameter_m=at(catalogue.ropes.diameter_m, bridle_rope),
        lead_diameter_m=at(catalogue.ropes.diameter_m, lead_rope),
        section_diameter_m=at(catalogue.ropes.diameter_m, section_rope),
        line_strength_n=line_strength_n,
        section_strength_n=at(catalogue.ropes.minimum_strength_n, section_rope),
        design_load_n=design_load_n,
        section_tension_n=section_tension_n,
        end_weight_kg=end_weight_kg,
    )


def required_ends(
    requirements: RequirementColumns, catalogue: Catalogue, rows: slice = slice(None)
) -> RigEnds:
    """The ends of the required rigs of all boats, or of some; a boat that was not computed has no parts."""
    need = requirements
    return rig_ends(
        catalogue, need.lead_rope[rows], need.bridle_rope[rows], need.section_rope[rows],
        need.chosen_strength_n[rows], need.chosen_load_n[rows], need.chosen_section_n[rows],
        need.end_weight_kg[rows],
    )  # fmt: skip


def required_joints(
    requirements: RequirementColumns, policy: Policy, catalogue: Catalogue, rows: slice = slice(None)
) -> JointColumns:
    """What joins the required rigs of all boats, or of some. [CG87 6.3; practice; assumed]"""
    return joint_columns(required_ends(requirements, catalogue, rows), policy, catalogue)


def joint_columns(ends: RigEnds, policy: Policy, catalogue: Catalogue) -> JointColumns:
    """Choose the connector of every joint of n rigs; see `JointColumns`. [CG87 6.3; practice; assumed]"""
    table, section = fits(catalogue), ends.section
    boats, sections = section.shape
    shape = (boats, sections + 3)
    chain = chain_for(catalogue, ends.end_weight_kg, policy.order.end_weight_length)
    outer = section[:, 0]
    for place in range(1, sections):
        outer = np.where(section[:, place] >= 0, section[:, place], outer)
    used = np.zeros(shape, dtype=np.bool_)
    used[:, ATTACHMENT] = ends.bridle >= 0
    used[:, APEX] = (ends.bridle >= 0) & (ends.lead >= 0)
    used[:, LEAD] = (ends.lead >= 0) & (section[:, 0] >= 0)
    used[:, FIRST_SECTION:END] = (section[:, :-1] >= 0) & (section[:, 1:] >= 0)
    used[:, END] = (outer >= 0) & (chain >= 0)

    end_load = END_LOAD_WEIGHTS * ends.end_weight_kg * GRAVITY_MPS2
    whole = np.broadcast_to(ends.design_load_n[:, None], (boats, 3))
    line = np.broadcast_to(ends.line_strength_n[:, None], (boats, 3))
    load = np.column_stack([whole, ends.section_tension_n[:, 1:], end_load])
    required = np.column_stack([line, ends.section_strength_n[:, 1:], end_load])
    enough = _strong_enough(catalogue, required)

    shackle = np.full(shape, -1, dtype=np.int64)
    through = np.zeros(shape, dtype=np.bool_)
    shackle[:, ATTACHMENT] = table.attachment[ends.bridle, enough[:, ATTACHMENT]]
    shackle[:, APEX] = table.apex[ends.bridle, ends.lead, enough[:, APEX]]
    shackle[:, LEAD] = table.line[ends.lead, section[:, 0], enough[:, LEAD]]
    inner = section[:, :-1], section[:, 1:]
    through[:, FIRST_SECTION:END] = table.through[inner]
    shackle[:, FIRST_SECTION:END] = table.line[(*inner, enough[:, FIRST_SECTION:END])]
    shackle[:, END], second = _end_shackles(table, outer, chain)
    rising = np.append(catalogue.shackles.breaking_load_n, np.inf)  # the position -1 means no second shackle
    weak = np.minimum(rising[shackle[:, END]], rising[second]) < end_load
    shackle[:, END] = np.where(weak, -1, shackle[:, END])
    shackle = np.where(used & ~through, shackle, -1)

    connector = np.where(through, EYE_THROUGH_EYE, np.where(shackle >= 0, SHACKLE, NONE_FITS))
    paired = (shackle[:, END] >= 0) & (second >= 0)
    connector[:, END] = np.where(paired, TWO_SHACKLES, connector[:, END])
    seconds = np.full(shape, -1, dtype=np.int64)
    seconds[:, END] = np.where(paired, second, -1)
    return JointColumns(
        used=used,
        connector=np.where(used, connector, NONE_FITS).astype(np.int8),
        shackle=shackle,
        second=seconds,
        load_n=np.where(used, load, np.nan),
        strength_required_n=np.where(used, required, np.nan),
        chain=chain,
    )


def _strong_enough(catalogue: Catalogue, required_n: FloatArray) -> IntArray:
    """Position of the weakest shackle that is strong enough; one past the last where none is, or for NaN."""
    rising = catalogue.shackles.breaking_load_n
    place = smallest_enough(rising, required_n)
    return np.where(place >= 0, place, len(rising))


def _end_shackles(table: Fits, outer: IntArray, chain: IntArray) -> tuple[IntArray, IntArray]:
    """From the outer thimble to the chain: one shackle, or one on the thimble and a second for the link.

    The pin decides the size there, not the load: it is the strongest whose pin goes through the link.
    """
    single = table.end[outer, chain]
    paired = table.end_second[outer, chain]
    alone = single >= 0
    return np.where(alone, single, paired), np.where(alone | (paired < 0), -1, table.link[chain])
