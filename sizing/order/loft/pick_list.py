"""What goes into one bag, and where its lengths are cut."""

from __future__ import annotations

from typing import Final

from sizing.order.kits import KitCut
from sizing.order.loft.bag import Bag
from sizing.order.loft.page import Col, Flow, Sign
from sizing.order.sheets import decimal_m, feet

_PICK: Final = (
    Col("", 14), Col("Item", 66), Col("What", 140), Col("For", 128), Col("Pieces", 40, "right"),
    Col("Each (m)", 52, "right"), Col("Each (ft)", 52, "right"),
)  # fmt: skip
_CUTS: Final = (
    Col("", 14), Col("Item", 70), Col("Spool", 36, "right"), Col("", 8), Col("Piece", 164),
    Col("Pieces", 40, "right"), Col("Cut each (m)", 62, "right"), Col("Cut each (ft)", 62, "right"),
)  # fmt: skip


def put_pick_list(flow: Flow, bag: Bag) -> None:
    """Lay out everything that goes into the bag, with its sum, and what is not in it."""
    flow.heading("Pick list")
    rows: list[tuple[str | Sign, ...]] = [
        (
            Sign.TICK, piece.item, bag.descriptions.get(piece.item, ""), piece.purpose, f"{piece.quantity:,}",
            *_each(piece.length_m),
        )
        for piece in bag.kit.contents
    ]  # fmt: skip
    rows.append(("", "In all", "", "", f"{bag.pieces:,}", "", ""))
    flow.table(_PICK, rows, last_bold=True)
    if bag.missing:
        flow.heading("Not in this bag")
        for sentence in bag.missing:
            flow.point(Sign.TICK, sentence)


def put_cut_list(flow: Flow, bag: Bag) -> None:
    """Lay out every length cut for this boat, by spool; nothing where nothing is cut."""
    if not bag.kit.cuts:
        return
    flow.heading("Cut list", keep=100.0)
    flow.text(
        "Spool numbers are those of the fleet's cut list (cuts.csv). Lengths are as cut: what splices take "
        "is in them. No piece is ever joined from two."
    )
    flow.space(4.0)
    flow.table(_CUTS, [_cut_row(cut, bag.cones_on[cut.purpose]) for cut in bag.kit.cuts])


def _cut_row(cut: KitCut, cones: str) -> tuple[str | Sign, ...]:
    name = f"{cut.purpose} (marks table)" if cut.marked else cut.purpose
    name += f"; {cones}" if cones else ""
    return Sign.TICK, cut.item, str(cut.spool_no), "", name, f"{cut.count:,}", *_each(cut.length_m)


def _each(length_m: float | None) -> tuple[str, str]:
    if length_m is None:
        return "", ""
    exact = decimal_m(length_m)
    return f"{exact:f}", f"{feet(exact):f}"
