"""Whose an open finding is to close, and what it must come before."""

from __future__ import annotations

from typing import Final, Literal, get_args

from sizing.chase.dates import Stage
from sizing.model import Finding, PartGroup, Standing

Owner = Literal["skipper", "workshop", "chandlery", "surveyor", "safety officer", "scrutineer"]
OWNERS: Final[tuple[Owner, ...]] = get_args(Owner)

SURVEYED_WHERE_SHORT: Final = frozenset(
    {
        "attachment.fitting", "attachment.load", "attachment.bolts", "attachment.lead", "attachment.place",
        "strike.attachments", "bridle.spread",
    }
)  # fmt: skip
"""Changes to the structure of a boat: not a skipper's to make on his own."""
SURVEYED: Final = frozenset({"attachment.structure", "data.published-range"})
SEEN_BY_SCRUTINEER: Final = frozenset({"data.evidence", "data.evidence-age"})
GIVEN_BY_OFFICE: Final = frozenset({"data.berth"})
SIZES_HER: Final = frozenset({"data.displacement-basis", "data.plausible", "data.published-range"})
"""Figures that her parts are worked out from, and so needed before anything is ordered."""


def owner_of(finding: Finding) -> Owner:
    """Return who has to act on an open finding that no part of the order closes [practice]."""
    check = finding.check.id
    if check in SURVEYED or (check in SURVEYED_WHERE_SHORT and finding.standing is not Standing.UNPROVEN):
        return "surveyor"
    if check in SEEN_BY_SCRUTINEER:
        return "scrutineer"
    return "safety officer" if check in GIVEN_BY_OFFICE else "skipper"


def stage_of(finding: Finding, parts: tuple[PartGroup, ...]) -> Stage:
    """Return what acting on an open finding must come before.

    Where parts could close it, or her size hangs on it, the order: what is found out later is not bought.
    Else what is unproven before it is inspected, and what is short before the work ends. [practice]
    """
    if parts or finding.check.id in SIZES_HER:
        return "orders"
    return "inspection" if finding.standing is Standing.UNPROVEN else "work"
