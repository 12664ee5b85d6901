"""Parts that several pages show: figures in both systems, standings, findings."""

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache
from typing import Final, Literal

from sitegen.plain_text import visible
from sizing.audit import ADVISED_STANDS
from sizing.model import Finding, Standing
from sizing.units import Shown, show

BELOW_ADVISED: Final = "meets what is required, below what is advised"
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
    """One finding as shown."""

    id: str
    anchor: str
    check_id: str
    family: str
    sentence: str
    standing: str
    standing_words: str
    level: str
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
    '2 open shalls'
    """
    key: BoatKey
    short = ""
    if not computed:
        key, words = "not-computed", "not computed"
    elif open_shalls:
        key, words = "open-shall", plural(open_shalls, "open shall")
    elif open_shoulds:
        short = plural(open_shoulds, "open should")
        key, words = "open-should", f"no open shall, {short}"
    else:
        key, words = "nothing-open", "nothing open"
    return BoatStanding(key, words, short or words, open_shalls, open_shoulds)


def anchor_of(check_id: str) -> str:
    """Return the address of a check inside a page."""
    return "check-" + "".join(c if c.isalnum() else "-" for c in check_id)


def finding_view(finding: Finding) -> FindingView:
    """Return a finding as shown."""
    check = finding.check
    margin = ""
    judged = finding.standing in {Standing.MEETS, Standing.SHORT}
    # Of a figure that is a share itself, so many per cent over could be either of two things.
    if finding.margin_percent is not None and judged and check.dimension != "ratio":
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
        sentence=check.sentence,
        standing="open-should" if finding.below_advised else finding.standing.words.replace(" ", "-"),
        standing_words=BELOW_ADVISED if finding.below_advised else finding.standing.words,
        level=check.level,
        required=shown(finding.required, check.dimension),
        found=shown(finding.found, check.dimension),
        at_most=finding.at_most,
        margin=margin,
        advised=shown(finding.advised, check.dimension),
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
