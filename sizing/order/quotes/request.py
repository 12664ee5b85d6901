"""What is sent to suppliers: a workbook each with his own items, and the text of the mail with it."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping, Sequence
from typing import Final

from sizing.order.quotes.asked import ASKED, Pack, Round
from sizing.order.quotes.layout import Field, Key
from sizing.order.quotes.workbook import Said, SupplierSheet, workbook_bytes

ANY_SUPPLIER: Final = "any-supplier"
NOT_GIVEN: Final = "not given yet: please ask"
_LONGEST_STEM: Final = 40


def stems(suppliers: tuple[str, ...]) -> Mapping[str, str]:
    """Return for each supplier the begin of the names of his files, no two alike.

    >>> stems(("Oakumferry & Sons", "Oakumferry Sons", "", "索具"))["Oakumferry Sons"]
    'oakumferry-sons-2'
    """
    found: dict[str, str] = {}
    for supplier in suppliers:
        plain = unicodedata.normalize("NFKD", supplier).encode("ascii", "ignore").decode().lower()
        stem = re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:_LONGEST_STEM].strip("-")
        stem = stem or (ANY_SUPPLIER if not supplier else "supplier")
        number, free = 1, stem
        while free in found.values():
            number += 1
            free = f"{stem}-{number}"
        found[supplier] = free
    return found


def request_files(asked: Round) -> Mapping[str, bytes]:
    """Return the workbook and the mail for every supplier, and the round itself; {} where none is asked."""
    if not asked.suppliers:
        return {}
    files: dict[str, bytes] = {}
    for supplier, stem in stems(asked.suppliers).items():
        files[f"ask-{stem}.xlsx"] = workbook_bytes(request_sheet(asked, supplier))
        files[f"ask-{stem}.txt"] = _mail(asked, supplier, f"ask-{stem}.xlsx").encode()
    return {**files, ASKED: asked.kept()}


def request_sheet(asked: Round, supplier: str) -> SupplierSheet:
    """Return what stands on the sheet of one supplier: his own items, and nobody's prices."""
    unknown: set[Field] = set()
    if not supplier:
        unknown.add("supplier")
    if not asked.currency:
        unknown.add("currency")
    return SupplierSheet(
        title=f"Request for prices: {asked.rally}",
        name="Prices",
        guidance=_guidance(asked),
        said=fields_of(asked, supplier),
        lines=lines_of(asked, asked.asked_of(supplier)),
        to_fill_in=True,
        open_fields=frozenset(unknown),
    )


def fields_of(asked: Round, supplier: str) -> dict[Field, Said]:
    """Return what the buyer says on every sheet; what is missing says so."""
    needed = f"{asked.needed_by}, {asked.needed_for}" if asked.needed_by else NOT_GIVEN
    return {
        "supplier": supplier,
        "buyer": asked.buyer or NOT_GIVEN,
        "delivery": asked.delivery or NOT_GIVEN,
        "contact": asked.contact or NOT_GIVEN,
        "needed_by": needed,
        "currency": asked.currency,
        "number": asked.number,
        "vat_percent": asked.vat_percent,
    }


def _guidance(asked: Round) -> str:
    currency = f"in {asked.currency}" if asked.currency else "in one currency, to be named above"
    return (
        f"Please fill in the yellow cells and send the file back. Prices are for one pack, {currency},"
        " without VAT; sums follow by themselves. Rows marked “price only” help us to choose packs. Leave the"
        " price empty for what you do not sell. Say in “Offered instead” what differs from what is asked,"
        " with its certified strength. A row without a day counts by “All delivered on”."
    )


def lines_of(asked: Round, packs: Sequence[Pack]) -> list[dict[Key, Said]]:
    """Return the lines of these packs, in their order; what an item must hold stands on its first line."""
    needs = {need.item: need for need in asked.needs}
    lines: list[dict[Key, Said]] = []
    for at, pack in enumerate(packs):
        need, what = needs[pack.item], pack.description
        if pack.step is not None:
            what += f"; cut to length in steps of {pack.step.normalize():f} {pack.unit}"
        if pack.minimum_packs > 1:
            what += f"; at least {pack.minimum_packs} packs"
        again = at > 0 and packs[at - 1].item == pack.item
        least = "As above." if again else f"{need.least} {need.instead}"
        lines.append({
            "item": pack.item, "what": what, "least": least, "pack_size": pack.pack_size.normalize(),
            "unit": pack.unit, "packs": pack.packs,
        })  # fmt: skip
    return lines


def _mail(asked: Round, supplier: str, workbook: str) -> str:
    by = f"delivered by {asked.needed_by}" if asked.needed_by else "with the day of delivery"
    lines = [
        f"Subject: Request for prices {asked.number}, {asked.rally}",
        "",
        f"Dear {supplier or 'supplier'},",
        "",
        f"please quote for the items in {workbook}, without VAT, {by}.",
        "The workbook says for each item what it must hold and what may replace it. Fill in its yellow cells"
        " and send it back.",
        "",
        f"Deliver to: {asked.delivery or NOT_GIVEN}",
        f"Questions to: {asked.contact or NOT_GIVEN}",
        "",
        "With kind regards",
        asked.buyer or asked.rally,
    ]
    return "\n".join(lines) + "\n"
