"""Revisions: a compact record of each run, and what changed from one to the next.

Read `compare` first. `make` is a result to its record, `record_file` the record as a file, `change_text` and
`change_table` the report for people and for a spreadsheet.
"""

from sizing.revision.change_table import changes_csv
from sizing.revision.change_text import change_report_text
from sizing.revision.changes import (
    Amendment,
    BoatChange,
    ChangeReport,
    FindingChange,
    ItemChange,
    NeedChange,
    PlanChange,
    RuleChange,
)
from sizing.revision.compare import compare
from sizing.revision.make import record_of
from sizing.revision.memory import remember
from sizing.revision.record import Record
from sizing.revision.record_file import parse_record, read_record, record_bytes, write_record
from sizing.revision.secret import officer_key

__all__ = [
    "Amendment",
    "BoatChange",
    "ChangeReport",
    "FindingChange",
    "ItemChange",
    "NeedChange",
    "PlanChange",
    "Record",
    "RuleChange",
    "change_report_text",
    "changes_csv",
    "compare",
    "officer_key",
    "parse_record",
    "read_record",
    "record_bytes",
    "record_of",
    "remember",
    "write_record",
]
