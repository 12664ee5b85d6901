"""What changed about one boat since an earlier run, in words."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import replace
from typing import Final, Literal, NamedTuple, TypeAlias

from sitegen.pages.parts import plural
from sizing.revision import Amendment, BoatChange, FindingChange, NeedChange
from sizing.revision.change_text import (
    amendment_words,
    cause_words,
    finding_words,
    need_words,
    plan_words,
    renumbered_words,
)
from sizing.revision.changes import BoatKind, FindingKind
from sizing.units import Shown, show
from sizing.words import open_words

Mark: TypeAlias = Literal["", "meets", "short"]
Line: TypeAlias = tuple[str | Shown, ...]
"""A line in pieces: words as they are, figures in both systems."""

CLOSED: Final[tuple[FindingKind, ...]] = ("closed", "waived", "no longer applies")
OPENED: Final[tuple[FindingKind, ...]] = ("reopened", "opened")
OTHER: Final[tuple[FindingKind, ...]] = ("still open", "other", "not judged")
ARRIVED: Final[Mapping[BoatKind, str]] = {
    "entered": "she entered",
    "put right": "her row was rejected then and is taken now",
}


class Block(NamedTuple):
    """Some changes of one kind. `mark` is the sign of a standing, blank where it is neither good nor bad.

    `figures` are those that the program wrote into the lines, not those of the sheet.
    """

    title: str
    mark: Mark
    lines: tuple[str, ...]
    figures: tuple[Shown, ...] = ()


def line_of(words: str, figures: Collection[Shown]) -> Line:
    """Return words in pieces, so that figures follow the reader's switch like any other.

    What is not one of `figures`, as `sizing.units.both` writes it, stays words.

    >>> line_of("short, asked 30 kg (66 lb) or so", [Shown("30 kg", "66 lb")])
    ('short, asked ', Shown(metric='30 kg', us='66 lb'), ' or so')
    >>> line_of("asked 130 kg (66 lb)", [Shown("30 kg", "66 lb")])
    ('asked 130 kg (66 lb)',)
    """
    written = {f"{figure.metric} ({figure.us})": figure for figure in figures if figure.metric != figure.us}
    if not written:
        return (words,)
    alternatives = "|".join(re.escape(text) for text in written)
    pieces = re.split(rf"(?<![\w.,])({alternatives})", words)
    return tuple(written.get(piece, piece) for piece in pieces if piece)


def figures_of(findings: Iterable[FindingChange], needs: Iterable[NeedChange] = ()) -> tuple[Shown, ...]:
    """Return the figures that the words on these changes hold, each once."""
    judged = ((one, f.dimension) for f in findings for one in (f.before, f.after) if one is not None)
    values = [(value, dimension) for one, dimension in judged for value in (one.required, one.found)]
    values += [(value, need.dimension) for need in needs for value in (need.before, need.after)
               if isinstance(value, float)]  # fmt: skip
    return tuple(dict.fromkeys(show(value, kind) for value, kind in values if value is not None))


def blocks_of(boat: BoatChange, elsewhere: Collection[str] = ()) -> Iterator[Block]:
    """Return the changes of one boat but for the findings whose words stand `elsewhere`."""
    row = [renumbered_words(boat)] if boat.was_entry_no else []
    row += [f"was rejected: {words}" for words in dict.fromkeys(boat.problems_before)]
    row += [f"rejected: {words}" for words in dict.fromkeys(boat.problems_after)]
    figures = []
    if boat.not_computed_before != boat.not_computed_after:
        after = boat.not_computed_after
        figures.append(f"not computed: {after}" if after else "her figures can be computed now")
    figures += [need_words(need).removeprefix("needs, ") for need in boat.needs]
    shown = figures_of(boat.findings, boat.needs)
    blocks = (
        Block("Her row", "", tuple(row)),
        Block("Her entry", "", tuple(map(_amended, boat.amendments))),
        Block("Closed", "meets", tuple(_findings(boat, CLOSED, elsewhere)), shown),
        Block("Opened", "short", tuple(_findings(boat, OPENED, elsewhere)), shown),
        Block("Judged otherwise", "", tuple(_findings(boat, OTHER, elsewhere)), shown),
        Block("What she needs", "", tuple(figures), shown),
        Block("Her plan", "", (plan_words(boat.plan).removeprefix("plan: "),) if boat.plan else ()),
    )
    yield from (block for block in blocks if block.lines)


def _amended(amendment: Amendment) -> str:
    return amendment_words(replace(amendment, field=amendment.field.replace("_", " ")))


def _findings(boat: BoatChange, kinds: tuple[FindingKind, ...], elsewhere: Collection[str]) -> Iterator[str]:
    gone = [] if "no longer applies" not in kinds else list(boat.of_kind("no longer applies"))
    for kind in kinds:
        if kind != "no longer applies":
            words = [w for finding in boat.of_kind(kind) if (w := finding_words(finding)) not in elsewhere]
            # The title of the block says these two already.
            yield from (w.removeprefix("closed, ").removeprefix("opened, ") for w in words)
    if gone:
        causes = cause_words(dict.fromkeys(cause for finding in gone for cause in finding.causes))
        checks = "; ".join(finding.check for finding in gone)
        yield f"no longer applies, was open: {checks} (cause: {causes})"


def shalls_words(boat: BoatChange) -> str:
    """Return how many shalls are open, and how many were."""
    before, after = boat.open_shalls_before, boat.open_shalls_after
    if before is None or after is None:
        one, when = (after, "") if before is None else (before, " then")
        return "" if one is None else f"{_count(one)}{when}"
    return f"{_count(after)}, as before" if before == after else f"{_count(after)}, {before:,} before"


def _count(shalls: int) -> str:
    return open_words(shalls, 0, "officer")


def summary_of(boat: BoatChange) -> str:
    """Return one boat's changes in one sentence; counts only, so that nothing of a cell stands in it."""
    parts = [ARRIVED[boat.kind]] if boat.kind in ARRIVED else []
    amended = len(boat.amendments)
    parts += [f"{plural(amended, 'answer')} amended"] if amended else []
    for words, kinds in (("closed", CLOSED), ("opened", OPENED), ("judged otherwise", OTHER)):
        if count := len(boat.of_kind(*kinds)):
            parts.append(f"{plural(count, 'finding')} {words}")
    parts += [f"{plural(len(boat.needs), 'figure')} of what she needs changed"] if boat.needs else []
    parts += ["another plan"] if boat.plan else []
    if shalls := shalls_words(boat):
        parts.append(shalls)
    return ", ".join(parts)
