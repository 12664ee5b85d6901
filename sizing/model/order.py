"""The purchase for the fleet: pieces, lines to buy, and how rope is cut."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal

from sizing.model.ledger import Charges
from sizing.model.requirement import RequirementColumns
from sizing.model.supply import Supply
from sizing.model.tags import Tagged


@dataclass(frozen=True, order=True)
class ConeSize:
    """A cone by the diameters of its two ends, m, to the micrometre; its slant goes with the mouth."""

    mouth_m: float
    small_end_m: float

    def __post_init__(self) -> None:
        """Cones that differ in rounding alone are one size."""
        object.__setattr__(self, "mouth_m", round(self.mouth_m, 6))
        object.__setattr__(self, "small_end_m", round(self.small_end_m, 6))


@dataclass(frozen=True)
class Piece:
    """Something one boat's kit needs: `quantity` equal pieces, each `length_m` long where it is cut.

    `item` is a catalogue id; `kind` its family ("rope", "tape", "cone", "thimble", "shackle", ...). Cones
    have their size: those on a thick rope have a pattern of their own.
    """

    row: int
    item: str
    kind: str
    purpose: str
    quantity: int
    length_m: float | None
    source: str
    cone: ConeSize | None = None


@dataclass(frozen=True)
class OrderLine:
    """One thing to buy for the fleet.

    `needed` is what the boats' pieces add up to, in `unit`; `spare` comes on top; `packs` whole packs of
    `pack_size` units cover both. Money is decimal; None where no price is known. `boats` maps boat row to
    her share of `needed`, and adds up to it exactly.
    """

    item: str
    description: str
    unit: str
    needed: Decimal
    spare: Decimal
    pack_size: Decimal | None
    packs: int | None
    supplier: str
    pack_price: Decimal | None
    amount: Decimal | None
    lead_days: int | None
    boats: Mapping[int, Decimal]
    note: str


@dataclass(frozen=True)
class CutPiece:
    """One piece on one spool: whose, for what, how long as cut."""

    row: int
    purpose: str
    length_m: float


@dataclass(frozen=True)
class CutSpool:
    """One spool (or remnant) and the pieces cut from it in order; no piece is ever joined.

    `tag` is what is written on it, where it is in hand.
    """

    item: str
    spool_no: int
    spool_length_m: float
    pieces: tuple[CutPiece, ...]
    offcut_m: float
    tag: str = ""


@dataclass(frozen=True)
class CutSummary:
    """How well one diameter was cut, and how far that is proven."""

    item: str
    pieces: int
    spools: int
    cost: Decimal | None
    bound: Decimal | None
    optimal: bool
    gap_percent: float
    waste_percent: float
    method: str


@dataclass(frozen=True)
class ThickerPiece:
    """A piece of boat `row` that is cut of the rope `item`, `sizes` thicker than `needed`, which would do."""

    row: int
    purpose: str
    needed: str
    item: str
    sizes: int


@dataclass(frozen=True)
class RopeSearch:
    """How far a choice among ropes is proven.

    `cost` is what the ropes cost, with what each thicker piece and each change must save added; no choice
    of those allowed comes below `bound`. `judged` boats were judged again as fitted with thicker rope,
    `refused` of them in vain.
    """

    cost: Decimal = Decimal("0.00")
    bound: Decimal = Decimal("0.00")
    judged: int = 0
    refused: int = 0
    time_ran_out: bool = False

    @property
    def gap_percent(self) -> float:
        """How far above the least the cost may be, in per cent of it."""
        return 100 * float((self.cost - self.bound) / self.cost) if self.cost else 0.0


@dataclass(frozen=True)
class RopesTogether(RopeSearch):
    """What cutting all ropes as one came to.

    `saving` is by how much the whole order costs less than with every piece of the rope its boat needs.
    """

    pieces: tuple[ThickerPiece, ...] = ()
    saving: Decimal = Decimal("0.00")


@dataclass(frozen=True)
class OrderProblem:
    """A part that could not be ordered, and why; it is listed, never dropped."""

    row: int | None
    item: str
    sentence: str


@dataclass(frozen=True)
class LeftOver:
    """What is in hand of an item and not needed: said, and nothing to be mended."""

    item: str
    sentence: str


@dataclass(frozen=True)
class CameFor:
    """A piece of a boat's for which something else came than was ordered: shown to serve, or why not."""

    row: int
    purpose: str
    ordered: str
    came: str
    shown: bool
    sentence: str


@dataclass(frozen=True)
class WouldBe:
    """What is worked out for boats that need parts and are not in the order, since she has not agreed to it.

    `rows` are these boats, `pieces` what they need, and `boat_totals` what each would pay, were every boat
    that needs parts in the order; `lines` are those of that order. `total` is the sum of the shares, None
    where no price is known.
    """

    rows: tuple[int, ...] = ()
    pieces: tuple[Piece, ...] = ()
    lines: tuple[OrderLine, ...] = ()
    boat_totals: Mapping[int, Decimal] = field(default_factory=dict)
    total: Decimal | None = None


@dataclass(frozen=True)
class Order:
    """One purchase for the fleet, how it is cut, and whose each piece is; and what is left over in hand.

    `would_be` are the boats that it leaves out, since they have not agreed to it. `supplies` say of every
    boat how she gets her parts, by row; `ask_first` is the policy's rule that only consent is ordered.
    `charges` are what each boat owes for it, with all that came before; `tags` all that ever came, with what
    was cut of it. `together` says which pieces are cut of thicker rope than needed. `made` are the rigs with
    the ropes that boats get, where some get another than they need, of what came or thicker; else None.
    """

    lines: tuple[OrderLine, ...]
    spools: tuple[CutSpool, ...]
    cutting: tuple[CutSummary, ...]
    pieces: tuple[Piece, ...]
    problems: tuple[OrderProblem, ...]
    currency: str
    total: Decimal | None
    boat_totals: Mapping[int, Decimal]
    left_over: tuple[LeftOver, ...] = ()
    would_be: WouldBe = field(default_factory=WouldBe)
    supplies: tuple[Supply, ...] = ()
    ask_first: bool = True
    charges: Charges = field(default_factory=Charges)
    tags: tuple[Tagged, ...] = ()
    came_for: tuple[CameFor, ...] = ()
    together: RopesTogether = field(default_factory=RopesTogether)
    made: RequirementColumns | None = None

    def buys_for(self, row: int) -> bool:
        """Whether boat `row` is in the order, or would be, had she any part to buy."""
        return row not in self.would_be.rows

    def thicker(self, row: int) -> tuple[ThickerPiece, ...]:
        """What boat `row` gets of thicker rope than she needs."""
        return tuple(piece for piece in self.together.pieces if piece.row == row)

    def supply(self, row: int) -> Supply:
        """What was said of how boat `row` gets her parts."""
        return self.supplies[row] if row < len(self.supplies) else Supply()
