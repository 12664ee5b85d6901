"""The catalogue of checks and the standings, generated from the checks themselves."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import ClassVar

from sitegen.pages.frame import SearchEntry
from sitegen.pages.parts import anchor_of
from sizing.model import Check, CheckColumns, MusterResult, Standing
from sizing.words import in_plain_words, level_words, standing_words, vocabulary


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
    level: str
    counts: str


@dataclass(frozen=True)
class StandingsBlock:
    """How a boat can stand on a check."""

    name: ClassVar[str] = "standings"
    template: ClassVar[str] = "standings.html.j2"

    standings: tuple[StandingMeaning, ...]

    def search_entries(self, address: str) -> tuple[SearchEntry, ...]:
        """Nothing beside the page itself."""
        return ()


@dataclass(frozen=True)
class ChecksBlock:
    """Every check, by family."""

    name: ClassVar[str] = "checks"
    template: ClassVar[str] = "checks.html.j2"

    families: tuple[tuple[str, tuple[CheckRow, ...]], ...]

    def search_entries(self, address: str) -> tuple[SearchEntry, ...]:
        """Every check by its sentence, with all that is said of it."""
        return tuple(
            SearchEntry(f"{address}#{row.anchor}", row.check.sentence, _text(row.check))
            for _, rows in self.families
            for row in rows
        )


def _text(check: Check) -> str:
    """What search knows of a check; its id is what the check is about, in words."""
    about = " ".join(re.findall(r"\w+", check.id))
    return (
        f"{about}: {level_words(check.level)}. {check.rule}. {check.consequence} {check.remedy} {check.ask}"
    )


def in_signs(rule: str) -> str:
    """Return a rule with the signs a reader knows, in place of those of a keyboard.

    >>> in_signs("n x share >= load")
    'n × share ≥ load'
    """
    return rule.replace(" x ", " × ").replace(">=", "≥").replace("<=", "≤")


def standings_block() -> StandingsBlock:
    """Return what each standing means."""
    return StandingsBlock(
        tuple(
            StandingMeaning(
                s.words.replace(" ", "-"), standing_words(s), vocabulary()["standing", s.words].meaning
            )
            for s in Standing
        )
    )


def checks_block(result: MusterResult) -> ChecksBlock:
    """Return the checks of a run."""
    families: dict[str, list[CheckRow]] = {}
    for column in result.checks:
        row = CheckRow(
            anchor_of(column.check.id),
            column.check,
            in_signs(column.check.rule),
            level_words(column.check.level),
            _counts(column),
        )
        families.setdefault(column.check.family, []).append(row)
    return ChecksBlock(tuple((in_plain_words(family), tuple(rows)) for family, rows in families.items()))


def _counts(column: CheckColumns) -> str:
    counted = ((int((column.standing == int(s)).sum()), standing_words(s)) for s in Standing)
    return ", ".join(f"{count:,} {words}" for count, words in counted if count) or "no boats"
