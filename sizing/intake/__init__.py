"""Intake: from the bytes of a club's spreadsheet to accepted boats and rejected rows."""

from sizing.intake.fleet import DEFAULT_LIMITS, read_cells, read_fleet
from sizing.intake.one_boat import FoundCell, read_boat
from sizing.intake.rejects import canonical_names, rejected_cells, write_rejects
from sizing.intake.supply_words import another_way
from sizing.intake.template import blank_template, write_template
from sizing.raw_table import Limits

__all__ = [
    "DEFAULT_LIMITS",
    "FoundCell",
    "Limits",
    "another_way",
    "blank_template",
    "canonical_names",
    "read_boat",
    "read_cells",
    "read_fleet",
    "rejected_cells",
    "write_rejects",
    "write_template",
]
