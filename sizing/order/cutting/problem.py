"""What is to be cut and from what: pieces, stock kinds, remnants, allowances; all refused unless sound.

Lengths are whole millimetres and money is whole cents, so every sum in this package is exact.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import ROUND_CEILING, Decimal
from math import isfinite

from sizing.errors import CatalogueError, ComputationError, MusterError, PolicyError

LENGTHS_MM = range(1, 100_000_001)
ALLOWANCES_MM = range(LENGTHS_MM.stop)
COUNTS = range(1, 1_000_001)
PRICES_CENTS = range(1, 10**11 + 1)


def _require_whole(
    kind: type[MusterError], where: str, name: str, value: object, fit: range, mend: str
) -> None:
    """Refuse anything but a plain whole number in a range."""
    if isinstance(value, bool) or not isinstance(value, int) or value not in fit:
        raise kind(where, f"{name} is {value!r}", f"a whole number from {fit[0]} to {fit[-1]}", mend)


def is_number(value: object) -> bool:
    """True for whole and decimal numbers, not for truth values, text or nothing."""
    return isinstance(value, (int, float)) and not isinstance(value, bool)


def _require_text(kind: type[MusterError], where: str, name: str, value: object) -> None:
    """Refuse a name that is not text or that is blank."""
    if not isinstance(value, str) or not value.strip():
        raise kind(where, f"{name} is {value!r}", "a name of at least one character", f"give the {name}")


@dataclass(frozen=True)
class Piece:
    """One length to be cut in one run, `quantity` times; the label says for whom or for what."""

    length_mm: int
    label: str
    quantity: int = 1

    def __post_init__(self) -> None:
        where = f"piece {self.label!r}"
        _require_text(ComputationError, where, "label", self.label)
        _require_whole(ComputationError, where, "length_mm", self.length_mm, LENGTHS_MM,
                       "give the length to cut in whole millimetres, rounded up")  # fmt: skip
        _require_whole(ComputationError, where, "quantity", self.quantity, COUNTS,
                       "leave the piece out if none is wanted")  # fmt: skip


@dataclass(frozen=True)
class Stock:
    """A spool or roll to buy: its length, price (None: not known) and how many there are (None: any)."""

    id: str
    length_mm: int
    price_cents: int | None = None
    available: int | None = None

    def __post_init__(self) -> None:
        where = f"stock {self.id!r}"
        _require_text(CatalogueError, where, "id", self.id)
        _require_whole(CatalogueError, where, "length_mm", self.length_mm, LENGTHS_MM,
                       "give the length on the spool in whole millimetres")  # fmt: skip
        if self.price_cents is not None:
            _require_whole(CatalogueError, where, "price_cents", self.price_cents, PRICES_CENTS,
                           "give the price of one spool in whole cents, or leave it blank")  # fmt: skip
        if self.available is not None:
            _require_whole(CatalogueError, where, "available", self.available, COUNTS,
                           "give the count that can be bought, or leave it blank for no limit")  # fmt: skip


@dataclass(frozen=True)
class Remnant:
    """A length already on the shelf: it costs nothing and there is one of it."""

    id: str
    length_mm: int

    def __post_init__(self) -> None:
        where = f"remnant {self.id!r}"
        _require_text(CatalogueError, where, "id", self.id)
        _require_whole(CatalogueError, where, "length_mm", self.length_mm, LENGTHS_MM,
                       "measure the remnant and give whole millimetres, rounded down")  # fmt: skip


@dataclass(frozen=True)
class CutProblem:
    """Pieces to cut, what they may be cut from, and what cutting itself takes.

    A set of pieces fits on a length when sum(length + per_piece_mm) <= length - per_spool_mm: every piece
    takes its own allowance (melted or whipped ends, saw kerf), the last one too, and every spool or
    remnant loses its own (a spoilt end).
    """

    pieces: tuple[Piece, ...]
    stock: tuple[Stock, ...]
    remnants: tuple[Remnant, ...] = ()
    per_piece_mm: int = 0
    per_spool_mm: int = 0

    def __post_init__(self) -> None:
        for name in ("pieces", "stock", "remnants"):
            object.__setattr__(self, name, tuple(getattr(self, name)))
        for name in ("per_piece_mm", "per_spool_mm"):
            _require_whole(PolicyError, "cutting allowances", name, getattr(self, name), ALLOWANCES_MM,
                           "give whole millimetres, 0 if cutting takes nothing")  # fmt: skip
        _require_distinct("stock", (kind.id for kind in self.stock))
        _require_distinct("remnants", (remnant.id for remnant in self.remnants))
        quantity = sum(piece.quantity for piece in self.pieces)
        if quantity >= COUNTS.stop:
            raise ComputationError("pieces to cut", f"{quantity} pieces in all", f"at most {COUNTS[-1]}",
                                   "check the quantities, or cut the order in parts")  # fmt: skip

    @property
    def priced(self) -> bool:
        """True when every stock kind has a price, so that plans are compared by cost."""
        return all(kind.price_cents is not None for kind in self.stock)


def _require_distinct(where: str, ids: Iterable[str]) -> None:
    seen: set[str] = set()
    for name in ids:
        if name in seen:
            raise CatalogueError(f"{where} {name!r}", "the id occurs twice", "one id for each",
                                 "rename or remove one of the two")  # fmt: skip
        seen.add(name)


def cut_length_mm(length_m: float, step_mm: int = 1) -> int:
    """Length to cut: the length in metres taken up to the next whole step, so that no piece comes out short.

    L = ceil(1000 * length_m / step) * step, in decimal arithmetic on the number as written.

    Units: m in, mm out. Range: finite, above 0. [derived]

    >>> cut_length_mm(12.3, 100), cut_length_mm(12.301, 100), cut_length_mm(12.3, 1000)
    (12300, 12400, 13000)
    """
    _require_whole(PolicyError, "cutting step", "step_mm", step_mm, LENGTHS_MM,
                   "give the step in whole millimetres")  # fmt: skip
    if not is_number(length_m) or not isfinite(length_m) or length_m <= 0:
        raise ComputationError("length to cut", f"{length_m!r} m", "a finite length above 0 m",
                               "correct the length this piece is computed from")  # fmt: skip
    steps = (Decimal(str(float(length_m))) * 1000 / step_mm).to_integral_value(ROUND_CEILING)
    return int(steps) * step_mm
