"""The cases of a check: what must be written in the sheet for each way to stand on it.

A check declares its own cases beside its judge. They are tried through the real intake by the tests, shown in
the documents, and are the first place to look for what a check means. Each case is the changes to one boat,
`BASE`, who meets every check.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Final

from sizing.model import Standing

Cells = Mapping[str, str]

# 20,000 lb, loaded: 15,720 lbf = 69.9 kN design load [CG87 6.2]; 125 cones of 5 in [CG87 6.1].
BASE: Final[Cells] = MappingProxyType(
    {
        "entry_no": "1",
        "boat_name": "Case",
        "berth": "A1",
        "boat_type": "sailing monohull",
        "loa": "12.2 m",
        "lwl": "10.8 m",
        "beam": "3.9 m",
        "transom_width": "2.8 m",
        "displacement": "20,000 lb",
        "displacement_basis": "loaded",
        "device_type": "series drogue",
        "device_from": "stern",
        "cone_count": "126",
        "cone_mouth": "5 in",
        "cone_pitch": "20 in",
        "cone_cloth": "light rip-stop",
        "lead_line_length": "75 ft",
        "lead_line_diameter": "28 mm",
        "section_diameters": "28 mm; 22 mm",
        "section_joints": "spliced eye to eye",
        "line_material": "nylon double braid",
        "line_state": "new",
        "line_ends": "spliced",
        "bridle_leg_length": "7.0 m",
        "bridle_diameter": "28 mm",
        "bridle_leg_difference": "0 mm",
        "end_weight": "35 lb",
        "attachment_type": "dedicated plate",
        "attachment_rating": "60 kN",
        "attachment_bolts": "6 x M12 A4-70",
        "attachment_lead": "fair",
        "attachment_place": "transom corners",
        "structure_survey": "accepted",
        "thimble_type": "reinforced",
        "shackle_rating": "120 kN",
        "shackles_moused": "yes",
        "swivel": "none",
        "chafe_gear": "fitted",
        "stowed_ready": "yes",
        "within_reach": "yes",
        "retrieval": "tried",
        "made_year": "2026",
        "last_inspected": "2027-02-01",
        "condition": "new",
        "evidence": "certificate",
        "evidence_date": "2027-02-01",
    }
)
"""Whoever has no open finding on 1 March 2027."""

SMALL: Final[Cells] = MappingProxyType(
    {"displacement": "6,000 lb", "loa": "8.2 m", "lwl": "7.2 m", "beam": "2.8 m", "transom_width": "2.0 m"}
)
HEAVY: Final[Cells] = MappingProxyType(
    {"displacement": "40,000 lb", "loa": "16 m", "lwl": "14.5 m", "beam": "4.6 m", "transom_width": "3.4 m"}
)
NO_DEVICE: Final[Cells] = MappingProxyType({"device_type": "none"})
SINGLE: Final[Cells] = MappingProxyType(
    {"device_type": "cone drogue", "device_diameter": "1.5 m", "cone_count": "", "cone_mouth": ""}
)
HUGE: Final[Cells] = MappingProxyType(
    {
        "displacement": "290 t", "loa": "46 m", "lwl": "42 m", "beam": "9 m", "transom_width": "6 m",
        "boat_type": "motor monohull", "bridle_leg_length": "",
    }
)  # fmt: skip
"""She needs more than the strongest rope of the catalogue, so nothing of what she needs is computed."""
NO_ATTACHMENT: Final[Cells] = MappingProxyType({"attachment_type": "none", "attachment_rating": "",
                                                "attachment_bolts": ""})  # fmt: skip

AS_IT_IS: Final[tuple[Cells, ...]] = ({},)


@dataclass(frozen=True)
class Cases:
    """Changes to `BASE`, by how she then stands. Of each kind at least one.

    `absent` counts as short. `cannot` says, for a way to stand that no sheet leads to, why there is none.
    """

    short: tuple[Cells, ...] = ()
    unproven: tuple[Cells, ...] = ()
    meets: tuple[Cells, ...] = AS_IT_IS
    not_applicable: tuple[Cells, ...] = ()
    absent: tuple[Cells, ...] = ()
    cannot: Mapping[Standing, str] = field(default_factory=dict)

    def each(self) -> Iterator[tuple[Standing, Cells]]:
        """Every case with the standing it leads to."""
        yield from ((Standing.SHORT, cells) for cells in self.short)
        yield from ((Standing.ABSENT, cells) for cells in self.absent)
        yield from ((Standing.UNPROVEN, cells) for cells in self.unproven)
        yield from ((Standing.MEETS, cells) for cells in self.meets)
        yield from ((Standing.NOT_APPLICABLE, cells) for cells in self.not_applicable)

    def wanting(self) -> tuple[Standing, ...]:
        """Ways to stand of which there is neither a case nor a reason why there can be none."""
        told = {Standing.SHORT if s is Standing.ABSENT else s for s, _ in self.each()} | set(self.cannot)
        asked = (Standing.SHORT, Standing.UNPROVEN, Standing.MEETS, Standing.NOT_APPLICABLE)
        return tuple(standing for standing in asked if standing not in told)


EVERY_BOAT: Final = MappingProxyType({Standing.NOT_APPLICABLE: "it is asked of every boat"})
