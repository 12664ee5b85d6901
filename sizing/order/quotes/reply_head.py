"""What a returned sheet says above its table: whose it is, in which currency, which request it answers."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final, TypeAlias

from sizing.errors import CatalogueError
from sizing.order.amounts import currency_in
from sizing.order.quotes.asked import Round
from sizing.order.quotes.grid import Grid
from sizing.order.quotes.layout import ANSWER_AT, LABEL_AT, LEFT, RIGHT, Field
from sizing.units import clip

Places: TypeAlias = Mapping[Field, tuple[int, int]]
"""Where the answer to each label stands, or would."""

_FIELDS: Final[Mapping[str, Field]] = {
    **{label.casefold(): field for field, label in LEFT},
    **{label.casefold(): field for field, label, _ in RIGHT},
}
_REACH: Final = 4
_ASK_AGAIN: Final = "ask the supplier for prices in the currency of the request"


def places_above(grid: Grid, head: int) -> Places:
    """Return where the answers to the labels above row `head` stand: the next cell to the right of each."""
    found: dict[Field, tuple[int, int]] = {}
    for (row, at), cell in sorted(grid.cells.items()):
        field = _FIELDS.get(str(cell.value).strip().casefold())
        if row >= head or field is None or field in found:
            continue
        there = [(row, one) for one in range(at + 1, at + _REACH + 1) if (row, one) in grid.cells]
        answers = [one for one in there if str(grid.cells[one].value).strip().casefold() not in _FIELDS]
        found[field] = (
            answers[0] if answers else (row, at + 1 if at < LABEL_AT else at + ANSWER_AT - LABEL_AT)
        )
    return found


def supplier_of(grid: Grid, places: Places, asked: Round) -> str:
    """Return the supplier as he was asked; any name where suppliers were asked without one."""
    if "supplier" not in places:
        raise CatalogueError(
            grid.name, "there is no line “Supplier” above the table", "the supplier's name as it was asked",
            "write Supplier and the name above the table",
        )  # fmt: skip
    text = " ".join(grid.text(*places["supplier"]).split())
    named = [supplier for supplier in asked.suppliers if supplier]
    for supplier in named:
        if text.casefold() == " ".join(supplier.split()).casefold():
            return supplier
    if text and "" in asked.suppliers:
        return text
    raise grid.wrong(
        *places["supplier"],
        f"“{clip(text)}” was not asked" if text else "the supplier is not named",
        " or ".join(f"“{one}”" for one in named) or "the name of the supplier",
        "correct the name; a new supplier needs a row in the price book, and to be asked",
    )


def currency_of(grid: Grid, places: Places, asked: Round) -> str:
    """Return the currency of a reply, which is that of the request where it has one."""
    wanted = asked.currency or "a currency code of three letters, such as EUR"
    if "currency" not in places:
        raise CatalogueError(
            grid.name, "there is no line “Currency” above the table", wanted,
            "write Currency and its code above the table",
        )  # fmt: skip
    text = grid.text(*places["currency"]).upper()
    code = currency_in(text) or text
    if len(code) == 3 and code.isalpha() and code.isascii() and code == (asked.currency or code):
        return code
    found = f"the currency is “{clip(text)}”" if text else "no currency is named"
    raise grid.wrong(*places["currency"], found, wanted, _ASK_AGAIN)
