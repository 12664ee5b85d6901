"""Intake: from the bytes of a club's spreadsheet to accepted boats and rejected rows."""

from sizing.intake.fleet import DEFAULT_LIMITS, content_of, read_cells, read_fleet
from sizing.intake.groups import Group, grouped, sheet_to_send_back
from sizing.intake.mapping import MappedColumn, SheetMapping, changed, mapping_of
from sizing.intake.mended import Merged, merge_mended
from sizing.intake.one_boat import FoundCell, read_boat
from sizing.intake.profile import Chosen, Profile, check_choice, profile_beside, profile_text, read_profile
from sizing.intake.rejects import own_name, rejected_cells, write_rejects
from sizing.intake.supply_words import another_way
from sizing.intake.template import blank_template, write_template
from sizing.raw_table import Limits

__all__ = [
    "DEFAULT_LIMITS",
    "Chosen",
    "FoundCell",
    "Group",
    "Limits",
    "MappedColumn",
    "Merged",
    "Profile",
    "SheetMapping",
    "another_way",
    "blank_template",
    "changed",
    "check_choice",
    "content_of",
    "grouped",
    "mapping_of",
    "merge_mended",
    "own_name",
    "profile_beside",
    "profile_text",
    "read_boat",
    "read_cells",
    "read_fleet",
    "read_profile",
    "rejected_cells",
    "sheet_to_send_back",
    "write_rejects",
    "write_template",
]
