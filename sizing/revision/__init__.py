"""Revisions: a compact snapshot of each run, and what changed from one to the next.

Read `compare` first. `make` is a result to its snapshot, `snapshot_file` its bytes, `change_text` and
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
from sizing.revision.make import snapshot_of
from sizing.revision.memory import remember
from sizing.revision.snapshot import Snapshot
from sizing.revision.snapshot_file import parse_snapshot, snapshot_bytes
from sizing.revision.withdrawn import ManyWithdrawnError, refuse_many_withdrawn

__all__ = [
    "Amendment",
    "BoatChange",
    "ChangeReport",
    "FindingChange",
    "ItemChange",
    "ManyWithdrawnError",
    "NeedChange",
    "PlanChange",
    "RuleChange",
    "Snapshot",
    "change_report_text",
    "changes_csv",
    "compare",
    "parse_snapshot",
    "refuse_many_withdrawn",
    "remember",
    "snapshot_bytes",
    "snapshot_of",
]
