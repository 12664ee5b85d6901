"""What the fleet was judged by, then and now; the rules as one line of text each."""

from __future__ import annotations

from datetime import date
from typing import Any, Final

from sizing.policy import RULE_TABLES, Policy, choices, rules
from sizing.revision.changes import RuleChange
from sizing.revision.snapshot import Snapshot, Stamp
from sizing.units import both

JUDGING: Final = ("sizing.", "condition.", "audit.", "rally.departure")
"""Rules that can change what a boat needs or how she stands; levels and waivers are told by themselves."""

_DIMENSION: Final = {"m": "length", "kg": "mass"}


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


def rule_texts(policy: Policy) -> dict[str, str]:
    """Return every rule of a policy, key to text, in the order of the policy's file.

    >>> rule_texts(Policy())["sizing.least_diameter"]
    '0.01'
    """
    rally = policy.rally
    texts = {"rally.name": rally.name, "rally.officer": rally.officer, "rally.contact": rally.contact}
    if rally.private_pages:
        texts["rally.private_pages"] = "yes"
    texts["rally.departure"] = rally.departure.isoformat() if rally.departure else ""
    for milestone in rally.milestones:
        words = milestone.due.isoformat() + (f", closes {milestone.closes}" if milestone.closes else "")
        _add(texts, f"rally.milestones.{milestone.name}", words)
    for table in RULE_TABLES:
        for name, value in getattr(policy, table).model_dump(mode="json").items():
            texts[f"{table}.{name}"] = _plain(value)
    texts |= {choice.key: choice.value for choice in choices(policy) if choice.key == "workshop.crews"}
    texts |= {f"checks.{check}": level for check, level in sorted(policy.checks.items())}
    for waiver in policy.waivers:
        words = f"until {waiver.until.isoformat()}, {waiver.officer}: {waiver.reason}"
        _add(texts, f"waivers.{waiver.entry_no}/{waiver.check}", words)
    return texts | {f"reasons.{key}": reason for key, reason in sorted(policy.reasons.items())}


def _add(texts: dict[str, str], key: str, words: str) -> None:
    texts[key] = f"{texts[key]}; {words}" if key in texts else words


def _plain(value: Any) -> str:
    if isinstance(value, list):
        return ", ".join(str(part) for part in value)
    return f"{value:.9g}" if isinstance(value, float) else str(value)


def rule_words(key: str, text: str) -> str:
    """Return the value of a rule with its unit, lengths and masses in both systems.

    >>> rule_words("sizing.least_diameter", "0.012"), rule_words("rally.name", "")
    ('12 mm (0.472 in)', '(none)')
    """
    unit = {rule.key: rule.unit for rule in rules(Policy())}.get(key, "")
    try:
        figure = float(text) if unit else 0.0
    except ValueError:
        return text
    if unit in _DIMENSION:
        small = unit == "m" and abs(figure) < 1
        return both(figure, "small_length" if small else _DIMENSION[unit])
    return f"{text} {unit}".strip() if text else "(none)"


def meaning_of(key: str) -> str:
    """Return what a numeric rule means, "" for others."""
    return {rule.key: rule.meaning for rule in rules(Policy())}.get(key, "")


def judges(key: str) -> bool:
    """Whether a rule can change what boats need or how they stand as a whole fleet.

    >>> judges("sizing.wet_factor"), judges("rally.name")
    (True, False)
    """
    return key.startswith(JUDGING)
