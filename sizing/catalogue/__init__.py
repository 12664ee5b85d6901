"""Parts a rig is chosen from: ropes, shackles, bolts, cloth and the rest, with a source on every row."""

from sizing.catalogue.load import load_catalogue
from sizing.catalogue.tables import (
    Bags,
    BoltGrades,
    Bolts,
    Catalogue,
    ChafeSleeves,
    Cloths,
    EndWeights,
    Ropes,
    Shackles,
    Tapes,
    Thimbles,
)

__all__ = [
    "Bags",
    "BoltGrades",
    "Bolts",
    "Catalogue",
    "ChafeSleeves",
    "Cloths",
    "EndWeights",
    "Ropes",
    "Shackles",
    "Tapes",
    "Thimbles",
    "load_catalogue",
]
