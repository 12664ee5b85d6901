"""What counts in a season after what was done, by rules in plain Python."""

from __future__ import annotations

import json
from collections import Counter
from dataclasses import dataclass, field

Cells = dict[str, tuple[str, str, str]]
"""Of a list, by entry: cones, berth, lead line."""


@dataclass
class Aboard:
    """An inspection as the model knows it; `known` is what the list said of it when it was looked at last."""

    number: int
    entry: str
    cones: str
    made_at: int
    state: str = "recorded"
    known: str = ""
    signed_at: int = 0


@dataclass
class Listed:
    """A list as the model knows it: what it says, by which rules it is judged, when it came first."""

    number: int
    cells: Cells
    came_at: int
    rules: tuple[str, str] = ("", "")
    rules_number: int = 0


@dataclass
class Model:
    """The rules in plain words: what counts after what was done."""

    lists: list[Listed] = field(default_factory=list)
    numbers: int = 0
    clock: int = 0
    aboard: list[Aboard] = field(default_factory=list)
    waived: set[str] = field(default_factory=set)
    stock: list[tuple[str, int]] = field(default_factory=list)
    acts: Counter[str] = field(default_factory=Counter)
    bought: dict[str, str] = field(default_factory=dict)
    rules: tuple[str, str] = ("", "")
    rules_number: int = 0
    rules_made: int = 0

    @property
    def now(self) -> Listed:
        return self.lists[-1]

    def tick(self, act: str) -> int:
        self.acts[act] += 1
        self.clock += 1
        return self.clock

    def cones(self, entry: str) -> str:
        """What was measured last counts before what is listed."""
        found = [one.cones for one in self.aboard if one.entry == entry and one.state != "withdrawn"]
        return found[-1] if found else self.now.cells[entry][0]

    def judge_by(self, rules: tuple[str, str]) -> None:
        """Rules that are not those in force get a number of their own."""
        if rules != self.rules:
            self.acts["rules.changed"] += 1
            self.rules, self.rules_made = rules, self.rules_made + 1
            self.rules_number = self.rules_made

    def in_force(self) -> None:
        """A list came into force: where it changes what a sign-off covers, that is open again."""
        self.tick("upload.in-force")
        for one in self.aboard:
            if one.state in ("signed off", "reopened") and one.entry in self.now.cells:
                says = self.now.cells[one.entry][0]
                if says != one.known:
                    one.state, one.known, one.signed_at = "reopened", says, 0
                    self.acts["inspection.reopened"] += 1
        self.now.rules, self.now.rules_number = self.rules, self.rules_number

    def take(self, cells: Cells, rules: tuple[str, str]) -> None:
        """A new list."""
        self.judge_by(rules)
        self.numbers += 1
        self.acts["upload.received"] += 1
        self.clock += 1
        self.lists.append(Listed(self.numbers, dict(cells), self.clock))
        self.in_force()

    def undo(self) -> None:
        """The list before is in force again, with its rules."""
        self.lists.pop()
        self.acts["list.undone"] += 1
        self.acts["rules.changed"] += self.now.rules_number != self.rules_number
        self.rules, self.rules_number = self.now.rules, self.now.rules_number
        self.in_force()

    def rests(self) -> list[str]:
        """What was recorded since the list in force came, by the words that name it."""
        since, found = self.now.came_at, []
        for one in self.aboard:
            if one.state != "withdrawn" and one.made_at > since:
                found.append(f"inspection {one.number} of entry")
            if one.state == "signed off" and one.signed_at > since:
                found.append(f"sign-off of inspection {one.number} of entry")
        return found + [name for name, at in self.stock if at > since]

    def need(self) -> str:
        """All that an order follows from, beside what is in hand."""
        cells = self.now.cells
        return json.dumps([cells, [self.cones(entry) for entry in cells], sorted(self.waived)])
