"""Checks, how boats stand on them, and the plan that mends what is short."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from enum import IntEnum
from typing import Final, Literal

import numpy as np

from sizing.model.arrays import BoolArray, CodeArray, FloatArray, IntArray
from sizing.model.says import Says

Level = Literal["shall", "should"]
Owner = Literal["skipper", "workshop", "chandlery", "surveyor", "safety officer", "scrutineer"]
"""Who acts on something open."""


class Standing(IntEnum):
    """How a boat stands on one check. Missing evidence is `UNPROVEN`, never `MEETS`."""

    MEETS = 0
    SHORT = 1
    ABSENT = 2
    UNPROVEN = 3
    WAIVED = 4
    NOT_APPLICABLE = 5

    @property
    def words(self) -> str:
        """The standing in plain words."""
        return self.name.lower().replace("_", " ")


OPEN_STANDINGS = (Standing.SHORT, Standing.ABSENT, Standing.UNPROVEN)
_IS_OPEN: Final = np.array([standing in OPEN_STANDINGS for standing in Standing])
"""Looked up by the code of a standing."""


@dataclass(frozen=True)
class Check:
    """One check of the audit: what is asked, why, and on whose word.

    `remedy` is what to do where a boat is short, `provide` where she has no such thing (empty: the same), and
    `ask` what to measure or show where nothing is proven. `columns` are those measured for it, the one that
    its figure is about first. `sentence` names the check by what it asks for, and never how a boat stands:
    that is said by `says`.
    """

    id: str
    family: str
    sentence: str
    rule: str
    source: str
    level: Level
    dimension: str
    consequence: str
    remedy: str
    ask: str
    provide: str = ""
    columns: tuple[str, ...] = ()
    says: Says = field(default_factory=Says)

    def advice(self, standing: Standing) -> str:
        """What to do about it at this standing; nothing where it is not open."""
        if standing not in OPEN_STANDINGS:
            return ""
        if standing is Standing.UNPROVEN:
            return self.ask
        return self.provide or self.remedy if standing is Standing.ABSENT else self.remedy


@dataclass(frozen=True)
class AdvisedColumns:
    """A further limit on the figure of a check, advised beside the one required; (n,) each.

    `limit` is SI, NaN where there is none, and `standing` then `NOT_APPLICABLE`.
    """

    limit: FloatArray
    standing: CodeArray


@dataclass(frozen=True)
class Said:
    """What a check says of each boat: the place of her text among `texts`, (n,), -1 where there is none.

    `day` is the day that is judged for, `ahead` whether it is still to come. A boat whose finding is waived
    keeps the text of how she stands without the waiver.
    """

    texts: tuple[str, ...]
    which: IntArray
    day: date
    ahead: bool


@dataclass(frozen=True)
class CheckColumns:
    """One check over the whole fleet. `required` and `found` are SI, NaN where there is no figure.

    `at_most` says that `found` must not exceed `required`; otherwise it must reach it. `needed`, (n,) or
    (n, k), is what the column measured has to be, where the figures compared are not its own.
    `notes` are further sentences, each with the mask of the boats it is about; `advice` are sentences that
    say what to do in place of the check's own, likewise. `advised` is a further limit on the same figure.
    `unread_in` are the columns looked at in which some boat's sheet says what could not be read.
    """

    check: Check
    standing: CodeArray
    required: FloatArray
    found: FloatArray
    at_most: bool = False
    notes: tuple[tuple[BoolArray, str], ...] = ()
    needed: FloatArray | None = None
    advice: tuple[tuple[BoolArray, str], ...] = ()
    advised: AdvisedColumns | None = None
    said: Said | None = None
    unread_in: tuple[str, ...] = ()

    @property
    def is_open(self) -> BoolArray:
        """Boats on which it is open, (n,)."""
        return np.asarray(_IS_OPEN[self.standing])

    @property
    def below_advised(self) -> BoolArray:
        """Boats that meet it, and yet are not shown to keep the further limit, (n,)."""
        if self.advised is None:
            return np.zeros(len(self.standing), dtype=np.bool_)
        met = self.standing == Standing.MEETS
        return np.asarray(met & _IS_OPEN[self.advised.standing])

    def advice_of(self, row: int) -> str:
        """What boat `row` has to do about it; nothing where it is neither open nor below a limit advised."""
        standing = Standing(int(self.standing[row]))
        advised = None if self.advised is None else Standing(int(self.advised.standing[row]))
        if standing is Standing.MEETS and advised in OPEN_STANDINGS:
            return self.check.remedy
        own = next((text for mask, text in self.advice if mask[row]), "")
        return own if own and standing in OPEN_STANDINGS else self.check.advice(standing)

    def note_of(self, row: int) -> str:
        """All further sentences about boat `row`, joined."""
        return " ".join(text for mask, text in self.notes if mask[row])


@dataclass(frozen=True)
class Finding:
    """One check on one boat.

    `advice` is what to do, without the figures; nothing where the finding is not open. `needed` is what the
    first of the check's columns has to be, SI: at least or, with `at_most`, at most; none where the check is
    not about a figure of it. `advised` is a further limit on what is found, SI, and `advised_standing` how it
    stands to that. `said` is what is to be said of it, in the voice of nobody yet: see
    `sizing.audit.sentence`.
    """

    id: str
    row: int
    check: Check
    standing: Standing
    required: float | None
    found: float | None
    margin_percent: float | None
    note: str
    advice: str = ""
    at_most: bool = False
    needed: tuple[float, ...] = ()
    advised: float | None = None
    advised_standing: Standing = Standing.NOT_APPLICABLE
    said: str = ""

    @property
    def is_open(self) -> bool:
        """Whether the boat still has something to do or to show here."""
        return self.standing in OPEN_STANDINGS

    @property
    def below_advised(self) -> bool:
        """Whether what is required is met, and yet the further limit is not shown to be kept."""
        return self.standing is Standing.MEETS and self.advised_standing in OPEN_STANDINGS


MendChoice = Literal["nothing", "fittings only", "extend", "re-rig", "replace"]
PartGroup = Literal[
    "cones",
    "extension",
    "lead line",
    "cone line",
    "bridle",
    "end weight",
    "thimbles",
    "shackles",
    "chafe gear",
    "attachments",
    "stowage bag",
    "recovery gear",
]


@dataclass(frozen=True)
class MendPlan:
    """The set of actions chosen for one boat, from which the order is made.

    `groups` names the parts to be made or bought; "extension" is a new outboard section carrying
    `cones_to_make` cones; "cone line" is all sections anew. `cones_to_make` counts new cones only.
    `reason` says why, in the voice of nobody yet (`sizing.audit.in_voice`).
    `waiting` are parts that she may need and that cannot be sized yet: nothing is ordered of them.
    `hours` is the work in hours, once practised; `materials` what the parts cost at the best price per unit,
    None without prices, in `currency`; `runner_up` the next best way in words, empty where there is but one.
    `closes` are the ids of the shalls that the parts close; `moot` those of further open findings, about gear
    that the parts take the place of; `leaves` those of the shalls left, which no part can close (a survey, a
    measurement, an inspection).
    """

    row: int
    choice: MendChoice
    groups: tuple[PartGroup, ...]
    cones_to_make: int
    hours: float
    reason: str
    closes: tuple[str, ...] = ()
    leaves: tuple[str, ...] = ()
    moot: tuple[str, ...] = ()
    materials: Decimal | None = None
    currency: str = ""
    runner_up: str = ""
    waiting: tuple[PartGroup, ...] = ()

    def settles(self, finding_id: str) -> bool:
        """Whether nothing is left to do about a finding once the parts are fitted and seen."""
        return finding_id in self.closes or finding_id in self.moot
