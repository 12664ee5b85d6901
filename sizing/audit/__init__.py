"""The audit: what is aboard against what is required, as findings with remedies.

Read in this order: `spec` (how a check is declared), `judge` (figures and words to standings), the families
(`device`, `cones`, `strike`, `line`, `line_make`, `bridle`, `attachments`, `hardware`, `upkeep`,
`boat_checks`, `evidence_checks`), `cases`, `register`, `sentences` (what is said of each), `examine`,
`findings`, `overall`, `stages`, `plan`.
"""

from sizing.audit.context import AuditContext
from sizing.audit.examine import audit_fleet, refuse_unknown_checks
from sizing.audit.findings import (
    ADVISED_STANDS,
    findings_of,
    margin_percent,
    needed_of,
    needed_words,
)
from sizing.audit.overall import ANSWERED, OverallColumns, overall
from sizing.audit.plan import answers_wanted, plan_boats, plan_options
from sizing.audit.register import REGISTER, SPECS
from sizing.audit.sentences import VOICES, Voice, Voiced, fact, in_voice, in_voices, sentence
from sizing.audit.stages import (
    BOAT_STAGES,
    STAGE_OF,
    BoatStage,
    StageKey,
    boat_stages,
    stage_counts,
    stages_of,
)

__all__ = [
    "ADVISED_STANDS",
    "ANSWERED",
    "BOAT_STAGES",
    "REGISTER",
    "SPECS",
    "STAGE_OF",
    "VOICES",
    "AuditContext",
    "BoatStage",
    "OverallColumns",
    "StageKey",
    "Voice",
    "Voiced",
    "answers_wanted",
    "audit_fleet",
    "boat_stages",
    "fact",
    "findings_of",
    "in_voice",
    "in_voices",
    "margin_percent",
    "needed_of",
    "needed_words",
    "overall",
    "plan_boats",
    "plan_options",
    "refuse_unknown_checks",
    "sentence",
    "stage_counts",
    "stages_of",
]
