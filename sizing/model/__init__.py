"""The nouns of the program, all frozen.

Two shapes of the same thing: *columns* (arrays over all boats, SI, NaN or -1 where nothing was given) carry
the work; *single* objects (Entry, Requirement, Finding) are made from them at the edges, for a page, a
message or an answer of the API.
"""

from sizing.model.arrays import BoolArray, CodeArray, FloatArray, IntArray
from sizing.model.entry import (
    Entry,
    FleetColumns,
    HeaderUnit,
    IntakeResult,
    Notation,
    RejectedRow,
    Remark,
    RemarkKind,
    RowError,
)
from sizing.model.finding import (
    MEND_WORDS,
    OPEN_STANDINGS,
    Check,
    CheckColumns,
    Finding,
    Level,
    MendChoice,
    MendPlan,
    PartGroup,
    Remedy,
    Standing,
    open_shalls,
)
from sizing.model.joint import ConnectorKind, Joint, Passing
from sizing.model.order import (
    ConeSize,
    CutPiece,
    CutSpool,
    CutSummary,
    Order,
    OrderLine,
    OrderProblem,
    Piece,
)
from sizing.model.requirement import (
    CHOSEN_BY,
    HoldColumns,
    Requirement,
    RequirementColumns,
    RideColumns,
    Section,
    StrikeColumns,
    Working,
)
from sizing.model.result import MusterResult

__all__ = [
    "CHOSEN_BY",
    "MEND_WORDS",
    "OPEN_STANDINGS",
    "BoolArray",
    "Check",
    "CheckColumns",
    "CodeArray",
    "ConeSize",
    "ConnectorKind",
    "CutPiece",
    "CutSpool",
    "CutSummary",
    "Entry",
    "Finding",
    "FleetColumns",
    "FloatArray",
    "HeaderUnit",
    "HoldColumns",
    "IntArray",
    "IntakeResult",
    "Joint",
    "Level",
    "MendChoice",
    "MendPlan",
    "MusterResult",
    "Notation",
    "Order",
    "OrderLine",
    "OrderProblem",
    "PartGroup",
    "Passing",
    "Piece",
    "RejectedRow",
    "Remark",
    "RemarkKind",
    "Remedy",
    "Requirement",
    "RequirementColumns",
    "RideColumns",
    "RowError",
    "Section",
    "Standing",
    "StrikeColumns",
    "Working",
    "open_shalls",
]
