"""Where everything stands on a supplier's sheet: one table of columns, labels and formulas, for both ways.

The sheet that is written and the reading of replies go by it. A4 across takes 149 characters of width.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

Key = Literal[
    "item", "what", "least", "pack_size", "unit", "packs", "price", "sum", "delivered", "instead",
    "strength_kn",
]  # fmt: skip
Field = Literal[
    "supplier", "buyer", "delivery", "contact", "needed_by", "currency", "number",
    "held_until", "least_order", "carriage", "vat_percent", "delivered_all", "remarks",
]  # fmt: skip


@dataclass(frozen=True)
class SheetColumn:
    """One column: its head, width in characters, number format, and whether the supplier fills it in."""

    key: Key
    title: str
    width: int
    number_format: str = "@"
    filled_in: bool = False


AMOUNT: Final = "#,##0.###"
MONEY: Final = "#,##0.00"
DAY: Final = "yyyy-mm-dd"
COLUMNS: Final = (
    SheetColumn("item", "Item", 14),
    SheetColumn("what", "What is asked for", 25),
    SheetColumn("least", "Least it must hold, and what may replace it", 36),
    SheetColumn("pack_size", "Pack", 7, AMOUNT),
    SheetColumn("unit", "Unit", 6),
    SheetColumn("packs", "Packs", 8, f'{AMOUNT};-{AMOUNT};"price only"'),
    SheetColumn("price", "Price of one pack", 10, MONEY, filled_in=True),
    SheetColumn("sum", "Sum", 11, MONEY),
    SheetColumn("delivered", "Delivered on", 11, DAY, filled_in=True),
    SheetColumn("instead", "Offered instead", 13, filled_in=True),
    SheetColumn("strength_kn", "Its strength (kN)", 8, "#,##0.0", filled_in=True),
)
PLACE: Final = {column.key: at for at, column in enumerate(COLUMNS, 1)}
LETTER: Final = {column.key: chr(ord("A") + at) for at, column in enumerate(COLUMNS)}

LEFT: Final[tuple[tuple[Field, str], ...]] = (
    ("supplier", "Supplier"),
    ("buyer", "Buyer"),
    ("delivery", "Deliver to"),
    ("contact", "Questions to"),
    ("needed_by", "Needed by"),
    ("currency", "Currency"),
    ("number", "Request no."),
)
"""What the buyer says, with its labels: label in column A, what is said in B."""
RIGHT: Final[tuple[tuple[Field, str, str], ...]] = (
    ("delivered_all", "All delivered on", DAY),
    ("held_until", "Prices hold until", DAY),
    ("least_order", "Least order, in all", MONEY),
    ("carriage", "Carriage", MONEY),
    ("vat_percent", "VAT (%)", "0.##"),
    ("remarks", "Remarks", "@"),
)
"""What the supplier says of the whole, with labels and number formats: label in column E, answer in H."""
LABEL_AT: Final = 5
ANSWER_AT: Final = 8
FIRST_LINE: Final = 2
SUM, CARRIAGE, VAT, TOTAL = "Sum without VAT", "Carriage", "VAT", "Total with VAT"
_ANSWER: Final = {field: f"$H${FIRST_LINE + at}" for at, (field, _, _) in enumerate(RIGHT)}


def line_sum(row: int) -> str:
    """The formula of one line: packs times price, to the cent."""
    packs, price = f"{LETTER['packs']}{row}", f"{LETTER['price']}{row}"
    return f'=IF({price}="","",ROUND({packs}*{price},2))'


def totals(first: int, last: int) -> tuple[tuple[str, str], ...]:
    """The labels and formulas below lines `first` to `last`; they stand from the second row after them."""
    h, at = LETTER["sum"], last + 2
    vat = _ANSWER["vat_percent"]
    return (
        (SUM, f"=SUM({h}{first}:{h}{last})"),
        (CARRIAGE, f"=N({_ANSWER['carriage']})"),
        (VAT, f'=IF({vat}="","",ROUND(({h}{at}+{h}{at + 1})*{vat}/100,2))'),
        (TOTAL, f'=IF({vat}="","",{h}{at}+{h}{at + 1}+{h}{at + 2})'),
    )
