"""The boat that the cases of all checks begin with: everything aboard that she needs, and shown."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from types import MappingProxyType
from typing import Final

DAY: Final = date(2027, 3, 1)
"""The day on which the cases are judged."""

# 20,000 lb, loaded: 15,720 lbf = 69.9 kN design load [CG87 6.2]; 125 cones of 5 in [CG87 6.1].
READY: Final[Mapping[str, str]] = MappingProxyType(
    {
        "entry_no": "1",
        "boat_name": "Test boat",
        "berth": "A1",
        "boat_type": "sailing monohull",
        "loa": "12.2 m",
        "lwl": "10.8 m",
        "beam": "3.9 m",
        "transom_width": "2.8 m",
        "displacement": "20,000 lb",
        "displacement_confirmed": "2027-01-10",
        "displacement_confirmed_by": "the office",
        "displacement_basis": "loaded",
        "device_type": "series drogue",
        "device_from": "stern",
        "cone_count": "126",
        "cone_mouth": "5 in",
        "cone_mouth_smallest": "126 mm",
        "cone_small_end": "38 mm",
        "cones_torn": "0",
        "cone_pitch": "20 in",
        "cone_cloth": "light rip-stop",
        "lead_line_length": "75 ft",
        "lead_line_diameter": "28 mm",
        "section_diameters": "28 mm; 22 mm",
        "section_cones": "60; 66",
        "section_joints": "eye through eye",
        "line_material": "nylon double braid",
        "line_state": "new",
        "line_ends": "spliced",
        "bridle_leg_length": "7.0 m",
        "bridle_diameter": "28 mm",
        "bridle_leg_difference": "0 mm",
        "bridle_arc": "clear",
        "end_weight": "35 lb",
        "end_weight_joint": "locked shackle",
        "chain_link": "16 mm",
        "shackle_pin": "19 mm",
        "attachment_type": "dedicated plate",
        "attachment_rating": "60 kN",
        "attachment_bolts": "6 x M12 A4-70",
        "attachment_lead": "fair",
        "attachment_place": "transom corners",
        "structure_survey": "accepted",
        "thimble_type": "reinforced",
        "thimble_for": "30 mm",
        "shackle_rating": "120 kN",
        "shackles_moused": "yes",
        "joints_tried": "yes",
        "swivel": "none",
        "chafe_gear": "fitted",
        "stowed_ready": "yes",
        "within_reach": "yes",
        "stowage_bags": "1",
        "stern_openings": "looked at, strong",
        "helm_lashing": "tried",
        "cutting_gear": "knife each side",
        "retrieval": "tried",
        "made_year": "2026",
        "last_inspected": "2027-02-01",
        "condition": "new",
        "evidence": "certificate",
        "evidence_date": "2027-02-01",
    }
)
NO_DEVICE: Final = MappingProxyType(
    dict.fromkeys(("cone_count", "cone_mouth", "bridle_leg_length", "bridle_diameter"), "")
    | {"device_type": "none"}
)
NO_ATTACHMENT: Final = MappingProxyType({"attachment_type": "none", "attachment_rating": ""})
WARPS: Final = MappingProxyType({"device_type": "warps"})
CONE_DROGUE: Final = MappingProxyType(
    {"device_type": "cone drogue", "device_diameter": "1.5 m", "cone_count": "", "cone_mouth": ""}
)
LIGHT: Final = MappingProxyType(
    {"displacement": "6,000 lb", "loa": "8.2 m", "lwl": "7.2 m", "beam": "2.8 m", "transom_width": "2.0 m"}
)
HEAVY: Final = MappingProxyType(
    {"displacement": "40,000 lb", "loa": "16 m", "lwl": "14.5 m", "beam": "4.6 m", "transom_width": "3.4 m"}
)
CAT: Final = MappingProxyType(
    {"displacement": "9,000 lb", "loa": "12.2 m", "lwl": "10.8 m", "boat_type": "sailing multihull",
     "beam": "6.5 m", "transom_width": "5.0 m"}
)  # fmt: skip
CLEAT: Final = MappingProxyType(
    {"attachment_type": "cleat", "attachment_rating": "", "attachment_bolts": "", "boat_year": "2012",
     "attachment_fitted_by": "builder", "design_category": "A"}
)  # fmt: skip
THIN: Final = MappingProxyType({"section_diameters": "28 mm; 18 mm", "section_cones": "60; 66"})
OLD: Final = MappingProxyType({"line_state": "good", "made_year": "2005"})
TESTED: Final = MappingProxyType(
    {"break_test_load": "90 kN", "break_test_date": "2026-11-02", "break_test_by": "A rope works"}
)
HUGE: Final = MappingProxyType(
    {"displacement": "290 t", "loa": "46 m", "lwl": "42 m", "beam": "9 m", "transom_width": "6 m",
     "bridle_leg_length": "", "boat_type": "motor monohull"}
)  # fmt: skip
"""She needs more than the strongest rope of the catalogue, so nothing is computed for her."""
