"""Parts that several pages show: figures in both systems, standings, findings."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache
from types import MappingProxyType
from typing import Final, Literal

from sitegen.plain_text import visible
from sizing.audit import ADVISED_STANDS, Voice, fact, sentence
from sizing.model import Finding, Standing
from sizing.spoken import needed
from sizing.units import Shown, show
from sizing.words import Reader, level_words, open_words, standing_words, word

READER_OF: Final[Mapping[Voice, Reader]] = MappingProxyType({"your": "skipper", "her": "officer"})
"""Whose words go with a voice."""
BoatKey = Literal["open-shall", "open-should", "nothing-open", "not-computed"]


@dataclass(frozen=True)
class Figure:
    """One figure with its name. `value` is None where there is none; `words` then say why, or add to it."""

    label: str
    value: Shown | None
    words: str = ""
    source: str = ""
    mark: str = ""


@dataclass(frozen=True)
class BoatStanding:
    """How a boat stands as a whole; never that she is safe."""

    key: BoatKey
    words: str
    short_words: str
    open_shalls: int
    open_shoulds: int


@dataclass(frozen=True)
class FindingView:
    """One finding as shown: `sentence` says how she stands, `fact` so without
    who can show it (for where `remedy` stands beside it), `topic` what the check asks for."""

    id: str
    anchor: str
    check_id: str
    family: str
    topic: str
    sentence: str
    fact: str
    standing: str
    standing_words: str
    level: str
    level_words: str
    required: Shown | None
    found: Shown | None
    at_most: bool
    margin: str
    advised: Shown | None
    advised_words: str
    below_advised: bool
    consequence: str
    remedy: str
    note: str
    rule: str
    source: str


@dataclass(frozen=True)
class DateLine:
    """A date of the rally, and how far off it is."""

    name: str
    due: str
    days: str


@lru_cache(maxsize=1 << 15)
def shown(value: float | None, dimension: str) -> Shown | None:
    """Return a figure in both systems, None where there is none or it is not finite.

    >>> shown(None, "mass") is None
    True
    >>> shown(3.0, "count")
    Shown(metric='3', us='3')
    """
    if value is None or not math.isfinite(value):
        return None
    return show(value, dimension)


def plural(count: int, one: str, many: str = "") -> str:
    """Return a count with its noun.

    >>> plural(1, "boat"), plural(0, "boat")
    ('1 boat', '0 boats')
    """
    return f"{count:,} {one if count == 1 else many or one + 's'}"


def money(amount: Decimal | None, currency: str) -> str:
    """Return an amount of money, in words where no price is known.

    >>> money(Decimal("1234.5"), "EUR"), money(None, "EUR")
    ('1,234.50 EUR', 'no price')
    """
    return "no price" if amount is None else f"{amount:,.2f} {currency}".strip()


def standing_of(open_shalls: int, open_shoulds: int, *, computed: bool) -> BoatStanding:
    """Return a boat's standing from her counts.

    >>> standing_of(2, 1, computed=True).words
    '2 to do, 1 more advised'
    """
    key: BoatKey = "open-shall" if open_shalls else "open-should" if open_shoulds else "nothing-open"
    if not computed:
        key = "not-computed"
    words = open_words(open_shalls, open_shoulds) if computed else word("state", "not computed")
    short = open_words(open_shalls, 0) if key == "open-shall" else words
    return BoatStanding(key, words, short, open_shalls, open_shoulds)


def anchor_of(check_id: str) -> str:
    """Return the address of a check inside a page."""
    return "check-" + "".join(c if c.isalnum() else "-" for c in check_id)


SHARED: Final = frozenset({"force", "length", "small_length", "mass"})
"""Of what so many per cent are told to be to spare: nobody counts bags, years or days so."""
CONES: Final = "drag.cone-count"


def _wanting(finding: Finding) -> bool:
    """Whether she is so many per cent over or short; of a share itself that could be either of two things."""
    return (
        finding.margin_percent is not None
        and finding.margin_percent < 0
        and finding.check.dimension != "ratio"
    )


def finding_view(finding: Finding, voice: Voice = "your") -> FindingView:
    """Return a finding as shown, to those on board or to anybody else."""
    check, reader = finding.check, READER_OF[voice]
    margin = ""
    judged = finding.standing in {Standing.MEETS, Standing.SHORT}
    shared = check.dimension in SHARED or check.id == CONES
    if finding.margin_percent is not None and judged and (shared or _wanting(finding)):
        size = abs(finding.margin_percent)
        # A shortfall below half a per cent is still one: it may not read as none.
        share = "less than 1 %" if 0.0 < size < 0.5 else f"{size:.0f} %"
        wanting = "over" if finding.at_most else "short"
        margin = f"{share} {wanting if finding.margin_percent < 0 else 'to spare'}"
    return FindingView(
        id=finding.id,
        anchor=anchor_of(check.id),
        check_id=check.id,
        family=check.family,
        topic=check.sentence,
        sentence=sentence(finding, voice),
        fact=fact(finding, voice),
        standing="open-should" if finding.below_advised else finding.standing.words.replace(" ", "-"),
        standing_words=standing_words(finding.standing, reader, below_advised=finding.below_advised),
        level=check.level,
        level_words=level_words("should" if finding.below_advised else check.level, reader),
        required=shown(finding.required, check.dimension),
        found=shown(finding.found, check.dimension),
        at_most=finding.at_most,
        margin=margin,
        advised=(shown if finding.at_most else needed)(finding.advised, check.dimension),
        advised_words=_advised_words(finding),
        below_advised=finding.below_advised,
        consequence=check.consequence,
        remedy=finding.advice,
        note=visible(finding.note),
        rule=check.rule,
        source=check.source,
    )


def _advised_words(finding: Finding) -> str:
    """How she stands to what is advised; nothing where no more is advised than is required."""
    if finding.advised is None or (finding.required is not None and finding.advised <= finding.required):
        return ""
    return ADVISED_STANDS[finding.advised_standing]
