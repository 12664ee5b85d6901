"""What every check looks at: the fleet as entered, what each boat needs, and the rally's rules."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from functools import cached_property
from typing import Literal

import numpy as np

from sizing.catalogue import Catalogue
from sizing.drogue.drag import mouth_area_m2
from sizing.fields import FIELD_BY_NAME
from sizing.model import (
    BoolArray,
    FleetColumns,
    FloatArray,
    IntArray,
    RequirementColumns,
    RideColumns,
    StrikeColumns,
)
from sizing.policy import Policy

Simulation = Literal["strike", "ride"]
_WHOM = ("no_device", "series", "single_element", "unanswered", "series_or_unanswered", "has_line", "warps")
"""What tells whom the checks are about."""
NO_CONE_LINE = ("cone drogue", "parachute", "warps", "none", "other")


def without_cone_line(fleet: FleetColumns) -> BoolArray:
    """Boats whose sheet names a device that hangs on its lead line alone, or none."""
    return fleet.chosen("device_type", *NO_CONE_LINE)


@dataclass(frozen=True)
class AuditContext:
    """The inputs of the audit, with the few facts many checks share worked out once.

    `strike_aboard` is the wave strike on the gear aboard, `ride` lying to the drogue each boat needs; without
    them the checks against them are left out.
    `reference_day` is the day age and inspections are judged at: departure where the policy knows it, else
    `today`.
    """

    fleet: FleetColumns
    requirements: RequirementColumns
    policy: Policy
    catalogue: Catalogue
    today: date
    strike_aboard: StrikeColumns | None = None
    ride: RideColumns | None = None

    @property
    def simulated(self) -> tuple[Simulation, ...]:
        """What was simulated of the sea."""
        known: dict[Simulation, object] = {"strike": self.strike_aboard, "ride": self.ride}
        return tuple(name for name, columns in known.items() if columns is not None)

    @property
    def boats(self) -> int:
        """Number of boats."""
        return len(self.fleet)

    @property
    def reference_day(self) -> date:
        """Day on which age and inspections must still count."""
        return max(self.policy.rally.departure or self.today, self.today)

    @cached_property
    def everyone(self) -> BoolArray:
        """All boats."""
        return np.ones(self.boats, dtype=np.bool_)

    @cached_property
    def computed(self) -> BoolArray:
        """Boats whose requirement could be computed."""
        mask = np.ones(self.boats, dtype=np.bool_)
        mask[list(self.requirements.not_computed)] = False
        return mask

    def chosen(self, column: str, *words: str) -> BoolArray:
        """Boats whose sheet says one of `words` in a choice column."""
        return self.fleet.chosen(column, *words)

    def watched(self, fleet: FleetColumns) -> AuditContext:
        """The same with a fleet that notes what is looked at; whom the checks are about is settled before.

        A device or a count of cones that cannot be read leaves a check about her, as a blank does.
        """
        watching = replace(self, fleet=fleet)
        vars(watching).update({name: getattr(self, name) for name in _WHOM})
        return watching

    def blank(self, column: str) -> BoolArray:
        """Boats whose sheet says nothing in a choice column."""
        return np.asarray(self.fleet.choice[column] < 0)

    def unread(self, column: str) -> BoolArray:
        """Boats whose sheet says in a column what could not be read."""
        return self.fleet.unread.get(column, np.zeros(self.boats, dtype=np.bool_))

    @cached_property
    def no_device(self) -> BoolArray:
        """Boats that say they carry none."""
        return self.chosen("device_type", "none")

    @cached_property
    def series(self) -> BoolArray:
        """Boats with a series drogue, said or plain from a count of several cones."""
        counted = self.fleet.number["cone_count"] > 1.0
        unsaid = self.blank("device_type") & ~self.unread("device_type")
        return np.asarray(self.chosen("device_type", "series drogue") | (unsaid & counted))

    @cached_property
    def single_element(self) -> BoolArray:
        """Boats with one cone drogue or a parachute."""
        return self.chosen("device_type", "cone drogue", "parachute")

    @cached_property
    def element_diameter_m(self) -> FloatArray:
        """Diameter of a single device, or its mouth where only that is given. m, NaN where neither is."""
        diameter = self.fleet.number["device_diameter_m"]
        return np.where(np.isnan(diameter), self.fleet.number["cone_mouth_m"], diameter)

    @cached_property
    def unanswered(self) -> BoolArray:
        """Boats whose sheet does not tell what device is aboard."""
        return np.asarray(self.blank("device_type") & ~self.series)

    @cached_property
    def series_or_unanswered(self) -> BoolArray:
        """Boats on which the checks of a series drogue apply."""
        return np.asarray(self.series | self.unanswered)

    @cached_property
    def has_line(self) -> BoolArray:
        """Boats on which the checks of the drogue line apply: all but those that carry no device."""
        return np.asarray(~self.no_device)

    @cached_property
    def warps(self) -> BoolArray:
        """Boats that trail warps."""
        return self.chosen("device_type", "warps")

    @cached_property
    def sections(self) -> IntArray:
        """Sections of cone line aboard, by their diameters; 0 where none is given."""
        return np.asarray((~np.isnan(self.fleet.section_diameters_m)).sum(axis=1), dtype=np.int64)

    @cached_property
    def section_cones(self) -> FloatArray:
        """Cones on each section from the boat outward, (n, 3): all on the only one, or as the sheet says.

        NaN throughout where the sheet does not say, or says what does not go with sections or cone count.
        """
        number = self.fleet.number
        told = np.column_stack([number[name] for name in FIELD_BY_NAME["section_cones"].numbers])
        given = (~np.isnan(told)).sum(axis=1)
        agrees = (given == self.sections) & (np.nansum(told, axis=1) == number["cone_count"])
        known = np.where(agrees[:, None], np.nan_to_num(told), np.nan)
        single = np.zeros_like(told)
        single[:, 0] = number["cone_count"]
        return np.asarray(np.where(((self.sections == 1) & (given == 0))[:, None], single, known))

    @cached_property
    def sound_cones(self) -> FloatArray:
        """Cones that are neither torn nor missing; NaN where no count is given."""
        number = self.fleet.number
        return np.maximum(number["cone_count"] - np.nan_to_num(number["cones_torn"]), 0.0)

    @cached_property
    def multihull(self) -> BoolArray:
        """Sailing and motor multihulls."""
        return self.chosen("boat_type", "sailing multihull", "motor multihull")

    @cached_property
    def cone_mouth_area_m2(self) -> FloatArray:
        """Mouth area of one cone aboard; NaN where the mouth is not given."""
        return np.asarray(mouth_area_m2(self.fleet.number["cone_mouth_m"]))

    @cached_property
    def no_figure(self) -> FloatArray:
        """A column of NaN, for checks that compare words and not figures."""
        return np.full(self.boats, np.nan)
