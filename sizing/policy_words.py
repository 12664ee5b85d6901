"""What is wrong with a policy in plain words, and what in a valid one is worth a second look."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any, Final

from sizing.policy import Policy, rules
from sizing.units import clip

_EXPECTED: Final[Mapping[str, str]] = {
    "int": "is not a whole number; write digits, without quotes",
    "float": "is not a number; write digits, without quotes",
    "finite": "is not a number; write digits, without quotes",
    "string_type": "is not text; put it in quotes",
    "date": "is not a date; write year-month-day without quotes, such as 2027-05-22",
}
"""What is said of a value whose error type begins so."""


def in_words(error: Mapping[str, Any]) -> str:
    """Return one finding of the policy's validation in the words of someone who writes policies.

    `error` is as the validator gives it: type, loc, msg, input, and the limits in ctx.
    """
    kind, given, limits = str(error["type"]), error.get("input"), error.get("ctx", {})
    unit = _unit_of(".".join(str(part) for part in error["loc"]))
    shown = f"{given:g}{unit}" if isinstance(given, int | float) else f"“{clip(str(given))}”"
    words = str(error["msg"]).removeprefix("Value error, ")
    if kind == "extra_forbidden":
        words = "there is no such key"
    elif kind == "missing":
        words = "it is missing"
    elif kind == "greater_than_equal":
        words = f"{shown} is too little; at least {limits['ge']:g}{unit} is possible"
    elif kind == "less_than_equal":
        words = f"{shown} is too much; at most {limits['le']:g}{unit} is possible"
    elif kind == "string_too_short":
        words = f"{shown} is too short; write at least {limits['min_length']} signs"
    elif kind == "string_too_long":
        words = f"{shown} is too long; write at most {limits['max_length']} signs"
    elif kind == "literal_error":
        words = f"{shown} is not known here; write {limits['expected']}"
    else:
        said = next((text for start, text in _EXPECTED.items() if kind.startswith(start)), None)
        words = f"{shown} {said}" if said else words
    return words


def _unit_of(key: str) -> str:
    """Return the unit of a numeric rule after a space, "" for a rule without."""
    return next((f" {rule.unit}" for rule in rules(Policy()) if rule.key == key and rule.unit), "")


def place_in_words(path: list[str]) -> str:
    """Return a key as its place in the file: blocks of a list are counted from 1.

    >>> place_in_words(["waivers", "0", "officer"])
    'waivers (block 1).officer'
    """
    place = ""
    for part in path:
        place += f" (block {int(part) + 1})" if part.isdigit() else f".{part}" if place else part
    return place


def doubts(policy: Policy, today: date) -> list[str]:
    """Return what in a valid policy may be a slip: dates in an order that makes little sense."""
    departure = policy.rally.departure
    if departure is None:
        return []
    day = departure.isoformat()
    found = []
    if departure < today:
        found.append(f"Policy: the departure, {day}, lies before the day of this run, {today.isoformat()}.")
    found += [
        f"Policy: the milestone “{clip(one.name)}”, {one.due.isoformat()}, lies after the departure, {day}."
        for one in policy.rally.milestones
        if one.due > departure
    ]
    return found
