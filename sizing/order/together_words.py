"""What is said of ropes cut as one: what is thicker than needed, what that saves, how far it is proven."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from sizing.catalogue import Catalogue
from sizing.model import Order, ThickerPiece
from sizing.order.sheets import Names, Sheet, columns_of

THICKER: Final = columns_of(
    ("entry_no", "Entry", "text", 9), ("boat_name", "Boat", "text", 24), ("purpose", "Piece", "text", 26),
    ("item", "Is cut of", "text", 14), ("needed", "Needed", "text", 14),
    ("sizes", "Sizes thicker", "count", 9),
)  # fmt: skip


def thicker_said(order: Order) -> str:
    """Return what is cut thicker than needed and what it saves, in a sentence or two; "" where nothing is.

    Where the time ran out before anything thicker was found, that is said.
    """
    together = order.together
    if not together.pieces:
        return OUT_OF_TIME if together.time_ran_out else ""
    pieces, boats = len(together.pieces), len({piece.row for piece in together.pieces})
    count = "1 piece is" if pieces == 1 else f"{pieces} pieces are"
    why = f"that saves {order.currency} {together.saving:,.2f}"
    if not together.saving:
        why = "the price book does not have the rope they need"
    said = f"{count} cut of thicker rope than needed, for {boats} boat{'' if boats == 1 else 's'}: {why}."
    return f"{said} {proof_said(order)}"


OUT_OF_TIME: Final = "The time ran out before it was known whether thicker rope for some pieces saves money."


def proof_said(order: Order) -> str:
    """Return how far the choice of ropes may be above the least possible."""
    together = order.together
    gap = together.gap_percent
    said = (
        "No choice of ropes costs less."
        if gap == 0.0
        else f"No choice of ropes costs over {max(gap, 0.01):.2f} % less."
    )
    return f"{said} The time ran out before a better one was looked for." if together.time_ran_out else said


def thicker_of(pieces: Sequence[ThickerPiece], catalogue: Catalogue) -> str:
    """Return what one boat gets thicker than she needs, with no voice; "" for nothing."""
    name = dict(zip(catalogue.ropes.id, catalogue.ropes.name, strict=True))
    return "; ".join(
        f"{piece.purpose} of {name[piece.item]} ({name[piece.needed]} would do)" for piece in pieces
    )


def thicker_sheet(order: Order, names: Names) -> Sheet:
    """Return every piece that is cut of thicker rope than its boat needs."""
    together = order.together
    rows = tuple(
        (*names.of(piece.row), piece.purpose, piece.item, piece.needed, piece.sizes)
        for piece in together.pieces
    )
    above = (
        ("Saves", f"{together.saving:,.2f} {order.currency} of the whole order"),
        ("Proven", proof_said(order)),
        ("Judged again", f"{together.judged} boats as fitted with thicker rope, {together.refused} in vain"),
    )
    return Sheet("Thicker rope", THICKER, rows, above)
