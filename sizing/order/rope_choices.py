"""Which ropes each piece may be cut of: the one the boat needs, or one or two sizes thicker where it fits."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import ROUND_CEILING, Decimal
from typing import Final, Protocol, TypeAlias

from sizing.catalogue import Catalogue
from sizing.drogue.hardware import smallest_enough
from sizing.model import FloatArray, Piece, RequirementColumns, ThickerPiece
from sizing.order.cutting import cut_length_mm
from sizing.order.earlier_order import PreviousOrder
from sizing.order.prices import PriceBook, unit_prices
from sizing.order.rope_pieces import SECTION
from sizing.order.stock import ClubStock
from sizing.policy import Policy
from sizing.spreadsheet import plain_text

LEAD_LINE: Final = "lead line"
BRIDLE_LEG: Final = "bridle leg"
MOST_SIZES: Final = 2
"""Sizes of the catalogue by which a piece may be thicker than what the boat needs."""

Ropes: TypeAlias = Mapping[tuple[int, str], int]
"""The rope of pieces by (row, purpose): a position in the catalogue."""

Boat: TypeAlias = tuple[tuple[tuple[int, str], int], ...]
"""The pieces of one boat that are cut of thicker rope, in order: ((row, purpose), rope)."""


class Rejudge(Protocol):
    """Judges boats again as fitted with such ropes."""

    def __call__(self, boats: Sequence[Boat], *, quick: bool = False) -> Sequence[tuple[str, ...]]:
        """Return what speaks against each, nothing where all is well; `quick` without strikes of its own."""
        ...

    def made(self, ropes: Ropes) -> RequirementColumns:
        """Return the rigs with these ropes, which were judged before."""
        ...


@dataclass(frozen=True)
class RopeRun:
    """Equal pieces of rope of one boat. `ropes` are those it may be cut of, thinnest first.

    She needs `needed`, which is not among them where the price book does not have it.
    """

    row: int
    purpose: str
    length_mm: int
    quantity: int
    ropes: tuple[int, ...]
    needed: int

    @property
    def key(self) -> tuple[int, str]:
        """What names it."""
        return self.row, self.purpose


def rope_runs(
    pieces: Sequence[Piece], catalogue: Catalogue, priced: frozenset[str], held: frozenset[int] = frozenset()
) -> tuple[RopeRun, ...]:
    """Return every piece of rope with what it may be cut of; of ropes without a price only her own.

    A cone line must not grow thicker outward: a section is cut no thicker than what its inner neighbour
    needs. An extension has a share of the old line, and gear of the recovery is chosen for a load of its own:
    neither is cut thicker. Nor are pieces of boats in `held`.
    """
    ropes = catalogue.ropes
    place = {name: at for at, name in enumerate(ropes.id)}
    own = {(piece.row, piece.purpose): place[piece.item] for piece in pieces if piece.kind == "rope"}
    runs = []
    for piece in pieces:
        if piece.kind != "rope":
            continue
        needed = most = place[piece.item]
        if is_of_the_rig(piece.purpose) and piece.row not in held:
            most = min(needed + MOST_SIZES, len(ropes.id) - 1, own.get(_inner(piece), len(ropes.id)))
        thicker = (
            at
            for at in range(needed + 1, most + 1)
            if ropes.id[at] in priced and ropes.construction[at] == ropes.construction[needed]
        )
        length_mm = cut_length_mm(piece.length_m or 0.0)
        hers = () if ropes.id[needed] not in priced else (needed,)
        runs.append(RopeRun(piece.row, piece.purpose, length_mm, piece.quantity, (*hers, *thicker), needed))
    return tuple(runs)


def is_of_the_rig(purpose: str) -> bool:
    """Whether a piece is a whole part of the rig, from the bridle to the last section."""
    return purpose in (LEAD_LINE, BRIDLE_LEG) or purpose.startswith(SECTION)


def _inner(piece: Piece) -> tuple[int, str]:
    """What names the next section inward."""
    if not piece.purpose.startswith(SECTION):
        return piece.row, ""
    return piece.row, f"{SECTION}{int(piece.purpose.removeprefix(SECTION)) - 1}"


def told(ropes: Ropes, requirements: RequirementColumns, catalogue: Catalogue) -> tuple[ThickerPiece, ...]:
    """Return the pieces that are cut of thicker rope, boat by boat from the boat outward."""
    found = []
    for (row, purpose), rope in sorted(ropes.items()):
        if purpose == LEAD_LINE:
            needed = int(requirements.lead_rope[row])
        elif purpose == BRIDLE_LEG:
            needed = int(requirements.bridle_rope[row])
        else:
            needed = int(requirements.section_rope[row, int(purpose.removeprefix(SECTION)) - 1])
        names = catalogue.ropes.id
        found.append(ThickerPiece(row, purpose, names[needed], names[rope], rope - needed))
    return tuple(found)


def ready_by_boat(stock: ClubStock, item: str, entries: Sequence[str]) -> Mapping[tuple[int, str], int]:
    """Return how many pieces of an item are cut already, by (row, purpose) they were cut for."""
    row_of = {entry: row for row, entry in enumerate(entries)}
    found: dict[tuple[int, str], int] = {}
    for piece in stock.cut.get(item, ()):
        if piece.entry_no in row_of:
            key = row_of[piece.entry_no], piece.purpose
            found[key] = found.get(key, 0) + piece.quantity
    return found


class Besides:
    """What it costs that a piece is cut of a rope, rope aside, in whole units of money.

    Thicker rope takes larger thimbles and chafe sleeves, at the best unit price, and has to save what the
    policy asks for each size; another rope than the last order said has to save the cost of the change.
    """

    def __init__(
        self,
        policy: Policy,
        catalogue: Catalogue,
        prices: PriceBook | None,
        last: PreviousOrder | None,
        entries: Sequence[str],
    ) -> None:
        self._rules, self._catalogue, self._entries = policy.order, catalogue, entries
        self._unit_price = unit_prices(prices)
        self._last: dict[tuple[str, str], str] = {}
        if last is not None:
            self._last = {(p.entry_no, p.purpose): p.item for p in last.pieces if p.kind == "rope"}

    def __call__(self, run: RopeRun, rope: int) -> Decimal:
        """What it costs that all pieces of a run are cut of this rope."""
        names = self._catalogue.ropes.id
        sizes = rope - run.needed
        each = sizes * Decimal(repr(self._rules.thicker_least_saving))
        each += 2 * (self._thimble(rope) - self._thimble(run.needed))
        if run.purpose == BRIDLE_LEG:
            length = Decimal(repr(self._rules.chafe_sleeve_length))
            each += length * (self._sleeve(rope) - self._sleeve(run.needed))
        before = self._last.get((plain_text(self._entries[run.row]), run.purpose))
        if before in {names[one] for one in run.ropes} and before != names[rope]:
            each += Decimal(repr(self._rules.cost_of_change))
        return (each * run.quantity).to_integral_value(ROUND_CEILING)

    def _thimble(self, rope: int) -> Decimal:
        thimbles = self._catalogue.thimbles
        return self._part(thimbles.id, thimbles.rope_diameter_m, rope)

    def _sleeve(self, rope: int) -> Decimal:
        sleeves = self._catalogue.chafe_sleeves
        return self._part(sleeves.id, sleeves.rope_diameter_m, rope)

    def _part(self, names: Sequence[str], rising_m: FloatArray, rope: int) -> Decimal:
        """Best unit price of the smallest part that takes a rope; 0 where there is none, or no price."""
        at = int(smallest_enough(rising_m, self._catalogue.ropes.diameter_m[rope : rope + 1])[0])
        return self._unit_price.get(names[at], Decimal(0)) if at >= 0 else Decimal(0)
