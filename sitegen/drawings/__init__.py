"""Every drawing and plot of the site, as SVG text.

A drawing is a function of an id prefix and a small frozen dataclass of SI figures. What it returns is safe to
be put into a page: all text is escaped, and it has neither styles nor scripts nor references to anything
outside. The theme's drawings.css gives it its colours. Of drawings in two layouts it returns both, one after
the other, and the style sheet shows the one that suits.
"""

from sitegen.drawings.cone_pattern import ConePattern, draw_cone_pattern
from sitegen.drawings.design_load import DesignLoad, StrikePoint, draw_design_load
from sitegen.drawings.drift import DriftCurve, draw_drift
from sitegen.drawings.fleet_scatter import FleetBoat, FleetScatter, draw_fleet_scatter
from sitegen.drawings.handling import (
    RoomView,
    SideView,
    draw_lying,
    draw_room,
    draw_side_view,
    draw_stowed,
)
from sitegen.drawings.hulls import HULL_OF_BOAT_TYPE, Hull, HullShape
from sitegen.drawings.leg_curve import LegCurve, draw_leg_curve
from sitegen.drawings.rig_parts import BridlePart, EndPart, draw_bridle, draw_outer_end
from sitegen.drawings.rig_plan import RigDrawing, RigSection, draw_rig_plan
from sitegen.drawings.rope_work import (
    BridleLeg,
    ConeSpacing,
    TapeDetail,
    draw_bridle_leg,
    draw_cone_spacing,
    draw_tape_detail,
)
from sitegen.drawings.spread_of_peaks import PeakSpread, SensitivityBars, draw_peak_spread, draw_sensitivity
from sitegen.drawings.standings import FamilyGaps, GapsByFamily, draw_gaps_by_family
from sitegen.drawings.stern import SternView, draw_junction, draw_launching, draw_recovering
from sitegen.drawings.strike import StrikeHistory, draw_strike_history
from sitegen.drawings.tension import LinePart, SectionTension, draw_section_tension

__all__ = [
    "HULL_OF_BOAT_TYPE",
    "BridleLeg",
    "BridlePart",
    "ConePattern",
    "ConeSpacing",
    "DesignLoad",
    "DriftCurve",
    "EndPart",
    "FamilyGaps",
    "FleetBoat",
    "FleetScatter",
    "GapsByFamily",
    "Hull",
    "HullShape",
    "LegCurve",
    "LinePart",
    "PeakSpread",
    "RigDrawing",
    "RigSection",
    "RoomView",
    "SectionTension",
    "SensitivityBars",
    "SideView",
    "SternView",
    "StrikeHistory",
    "StrikePoint",
    "TapeDetail",
    "draw_bridle",
    "draw_bridle_leg",
    "draw_cone_pattern",
    "draw_cone_spacing",
    "draw_design_load",
    "draw_drift",
    "draw_fleet_scatter",
    "draw_gaps_by_family",
    "draw_junction",
    "draw_launching",
    "draw_leg_curve",
    "draw_lying",
    "draw_outer_end",
    "draw_peak_spread",
    "draw_recovering",
    "draw_rig_plan",
    "draw_room",
    "draw_section_tension",
    "draw_sensitivity",
    "draw_side_view",
    "draw_stowed",
    "draw_strike_history",
    "draw_tape_detail",
]
