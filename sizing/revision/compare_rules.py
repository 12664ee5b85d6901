"""What the fleet was judged by, then and now."""

from __future__ import annotations

from datetime import date

from sizing.revision.changes import RuleChange
from sizing.revision.rule_text import judges, meaning_of, rule_words
from sizing.revision.snapshot import Snapshot, Stamp


def rule_changes(previous: Snapshot, current: Snapshot) -> tuple[RuleChange, ...]:
    """Return every rule, table and circumstance that differs, those of the whole run first."""
    then, now = previous.stamp, current.stamp
    changes = [
        RuleChange(f"run.{name}", words, before, after)
        for name, words, before, after in (
            ("program", "version of the program", then.program_version, now.program_version),
            (
                "catalogue",
                "catalogue of ropes and fittings",
                _mark(then.catalogue_sha256),
                _mark(now.catalogue_sha256),
            ),
            ("prices", "price book", _mark(then.prices_sha256), _mark(now.prices_sha256)),
            ("strike", "wave strike", _struck(then), _struck(now)),
            (
                "day",
                "day age and inspections are judged for",
                *(reference_day(s).isoformat() for s in (then, now)),
            ),
        )
        if before != after
    ]
    for key in dict.fromkeys((*previous.rules, *current.rules)):
        before, after = previous.rules.get(key), current.rules.get(key)
        if before != after:
            words = meaning_of(key) or key
            changes.append(RuleChange(f"policy.{key}", words, _shown(key, before), _shown(key, after)))
    return tuple(changes)


def rules_differ(previous: Snapshot, current: Snapshot) -> bool:
    """Whether anything by which all boats are sized and judged is not what it was."""
    then, now = previous.stamp, current.stamp
    keys = {key for key in (*previous.rules, *current.rules) if judges(key)}
    return (
        then.program_version != now.program_version
        or then.catalogue_sha256 != now.catalogue_sha256
        or then.struck != now.struck
        or any(previous.rules.get(key) != current.rules.get(key) for key in keys)
    )


def reference_day(stamp: Stamp) -> date:
    """Return the day that age and inspections are judged for: departure, or the day of the run if later."""
    return max(stamp.departure or stamp.today, stamp.today)


def _mark(sha256: str) -> str:
    return f"sha256 {sha256[:12]}" if sha256 else "(none)"


def _struck(stamp: Stamp) -> str:
    return "simulated" if stamp.struck else "not simulated"


def _shown(key: str, text: str | None) -> str:
    return "(not given)" if text is None else rule_words(key, text)
