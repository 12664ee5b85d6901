"""The catalogue of checks, generated from the checks themselves."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar, Final

from sitegen.pages.frame import Frame, SearchEntry
from sitegen.pages.parts import anchor_of
from sizing.model import Check, CheckColumns, MusterResult, Standing

MEANINGS: Final = {
    Standing.MEETS: "What was entered reaches what is required.",
    Standing.SHORT: "What was entered does not reach what is required.",
    Standing.ABSENT: "The part is not aboard.",
    Standing.UNPROVEN: "Nothing shows it either way. It never counts as a pass.",
    Standing.WAIVED: "Set aside for this boat by a named officer, with a reason and an end date.",
    Standing.NOT_APPLICABLE: "The check does not concern this boat.",
}


@dataclass(frozen=True)
class StandingMeaning:
    """One standing and what it means."""

    key: str
    words: str
    meaning: str


@dataclass(frozen=True)
class CheckRow:
    """One check as shown, with how the fleet stands on it."""

    anchor: str
    check: Check
    rule: str
    counts: str


@dataclass(frozen=True)
class ChecksPage:
    """What the checks template may use."""

    template: ClassVar[str] = "checks.html.j2"
    frame = Frame("checks.html", "Checks", "Every check the audit makes", "checks", "checks.html")

    standings: tuple[StandingMeaning, ...]
    families: tuple[tuple[str, tuple[CheckRow, ...]], ...]

    def search_entries(self) -> tuple[SearchEntry, ...]:
        """Every check by its sentence."""
        return tuple(
            SearchEntry(
                f"checks.html#{row.anchor}", row.check.sentence, f"{row.check.level}, {row.check.rule}"
            )
            for _, rows in self.families
            for row in rows
        )


def in_signs(rule: str) -> str:
    """Return a rule with the signs a reader knows, in place of those of a keyboard.

    >>> in_signs("n x share >= load")
    'n × share ≥ load'
    """
    return rule.replace(" x ", " × ").replace(">=", "≥").replace("<=", "≤")


def checks_page(result: MusterResult) -> ChecksPage:
    """Return the page of checks."""
    families: dict[str, list[CheckRow]] = {}
    for column in result.checks:
        row = CheckRow(anchor_of(column.check.id), column.check, in_signs(column.check.rule), _counts(column))
        families.setdefault(column.check.family, []).append(row)
    return ChecksPage(
        tuple(
            StandingMeaning(s.words.replace(" ", "-"), s.words, meaning) for s, meaning in MEANINGS.items()
        ),
        tuple((family, tuple(rows)) for family, rows in families.items()),
    )


def _counts(column: CheckColumns) -> str:
    counted = ((int((column.standing == int(s)).sum()), s.words) for s in Standing)
    return ", ".join(f"{count:,} {words}" for count, words in counted if count) or "no boats"
