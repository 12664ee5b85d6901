"""What is written of a choice: purchase orders with their mails, the comparison, a price book."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from decimal import ROUND_HALF_UP, Decimal
from typing import Final

from sizing.order.money import CENT
from sizing.order.price_template import HEADER
from sizing.order.quotes.asked import Pack, Round
from sizing.order.quotes.explain import explained
from sizing.order.quotes.layout import Field, Key
from sizing.order.quotes.purchases import BoughtLine
from sizing.order.quotes.reply import Reply
from sizing.order.quotes.request import NOT_GIVEN, fields_of, lines_of, stems
from sizing.order.quotes.split import Split
from sizing.order.quotes.workbook import Said, SupplierSheet, workbook_bytes
from sizing.order.sheets import Column, Sheet
from sizing.order.write_xlsx import xlsx_bytes
from sizing.spreadsheet import BYTE_ORDER_MARK, Cell, csv_bytes

COMPARISON: Final = (
    Column("item", "Item", "text", 14),
    Column("description", "Description", "text", 36),
    Column("supplier", "Supplier", "text", 22),
    Column("pack_size", "Pack", "quantity", 9),
    Column("unit", "Unit", "text", 7),
    Column("price", "Price of one pack", "money", 11),
    Column("delivered", "Delivered on", "text", 13),
    Column("asked", "Packs asked", "quantity", 8),
    Column("bought", "Packs bought", "quantity", 8),
    Column("amount", "Amount", "money", 11),
    Column("said", "Why not", "text", 21),
)


def result_files(asked: Round, replies: Sequence[Reply], split: Split) -> Mapping[str, bytes]:
    """Return all files by name; the same replies give the same bytes."""
    files: dict[str, bytes] = {}
    terms = {reply.supplier: reply for reply in replies}
    names = stems(tuple(split.lines))
    for supplier, lines in split.lines.items():
        book = f"order-{names[supplier]}.xlsx"
        files[book] = workbook_bytes(_order_sheet(asked, terms[supplier], lines, split))
        files[f"order-{names[supplier]}.txt"] = _mail(asked, terms[supplier], lines, split, book).encode()
    comparison = Sheet("Comparison", COMPARISON, tuple(_comparison(replies, split)))
    currency = replies[0].currency if replies else asked.currency
    files["comparison.xlsx"] = xlsx_bytes([comparison], f"Prices for {asked.rally} compared")
    files["comparison.txt"] = ("\n".join(explained(asked, replies, split)) + "\n").encode()
    files["prices.csv"] = _price_book(asked, split, currency)
    return files


def _order_sheet(asked: Round, reply: Reply, lines: Sequence[BoughtLine], split: Split) -> SupplierSheet:
    said: dict[Field, Said] = fields_of(asked, reply.supplier)
    vat = asked.vat_percent if asked.vat_percent is not None else reply.vat_percent
    said |= {"currency": reply.currency, "vat_percent": vat, "held_until": reply.held_until}
    said |= {"carriage": split.carriage[reply.supplier] or None, "least_order": reply.least_order or None}
    raised = split.raised.get(reply.supplier)
    said["remarks"] = f"Your least order asks {raised} more" if raised else ""
    packs = [line.quote.pack for line in lines]
    rows = [_bought(row, line) for row, line in zip(lines_of(asked, packs), lines, strict=True)]
    return SupplierSheet(
        title=f"Purchase order: {asked.rally}",
        name="Order",
        guidance=f"We order at the prices of your reply to request {asked.number}, without VAT. Please"
        " confirm, and send the certificates of strength with the goods.",
        said=said,
        lines=rows,
        to_fill_in=False,
    )


def _bought(row: dict[Key, Said], line: BoughtLine) -> dict[Key, Said]:
    """A line of the request with what is bought of it."""
    if line.note:
        row["what"] = f"{line.quote.pack.description}. {line.note}"
    if line.quote.instead:
        row["instead"] = line.quote.instead
    return {
        **row, "pack_size": line.pack_size.normalize(), "packs": Decimal(line.packs), "price": line.price,
        "delivered": line.quote.delivered, "strength_kn": line.quote.strength_kn,
    }  # fmt: skip


def net_of(supplier: str, split: Split) -> Decimal:
    """Return what is paid to one supplier without VAT: goods, carriage, and what his least order adds."""
    goods = sum((line.amount for line in split.lines[supplier]), Decimal(0))
    return goods + split.carriage[supplier] + split.raised.get(supplier, Decimal(0))


def _mail(asked: Round, reply: Reply, lines: Sequence[BoughtLine], split: Split, book: str) -> str:
    net, vat = net_of(reply.supplier, split), asked.vat_percent
    vat = reply.vat_percent if vat is None else vat
    days = [line.quote.delivered for line in lines if line.quote.delivered]
    count = "1 line" if len(lines) == 1 else f"{len(lines)} lines"
    gross = net if vat is None else (net * (1 + vat / 100)).quantize(CENT, ROUND_HALF_UP)
    text = [
        f"Subject: Purchase order {asked.number}, {asked.rally}",
        "",
        f"Dear {reply.supplier},",
        "",
        f"thank you for your prices. We order what stands in {book}: {count}, {net:,.2f} {reply.currency}"
        + (
            " without VAT."
            if vat is None
            else f" without VAT, {gross:,.2f} with VAT of {vat.normalize():f} %."
        ),
        *([f"Please deliver by {max(days)}, as you offered."] if days else []),
        "Please confirm the order, and send certificates of strength with the goods.",
        "",
        f"Deliver to: {asked.delivery or NOT_GIVEN}",
        f"Questions to: {asked.contact or NOT_GIVEN}",
        "",
        "With kind regards",
        asked.buyer or asked.rally,
    ]
    return "\n".join(text) + "\n"


def _comparison(replies: Sequence[Reply], split: Split) -> Iterator[tuple[Cell, ...]]:
    """A row for every price quoted, items together, what is bought first."""
    bought: dict[tuple[str, str, Decimal], tuple[Decimal, Decimal]] = {}
    for line in (line for lines in split.lines.values() for line in lines):
        pack = line.quote.pack
        bought[_key(pack)] = (line.packs * line.pack_size / pack.pack_size, line.amount)
    why = {_key(one.quote.pack): one.why for one in split.not_taken}
    quotes = [quote for reply in replies for quote in reply.quotes]
    for quote in sorted(quotes, key=lambda one: (one.pack.item, _key(one.pack) not in bought, one.price)):
        pack = quote.pack
        packs, amount = bought.get(_key(pack), (None, None))
        yield (
            pack.item, pack.description, pack.supplier, pack.pack_size, pack.unit, quote.price,
            str(quote.delivered or ""), pack.packs, packs, amount,
            why.get(_key(pack), "" if packs else "dearer in all"),
        )  # fmt: skip


def _key(pack: Pack) -> tuple[str, str, Decimal]:
    """What tells one pack of an order from another; lengths cut to measure have a size of their own."""
    return pack.item, pack.supplier, pack.pack_size if pack.step is None else -pack.pack_size


def _price_book(asked: Round, split: Split, currency: str) -> bytes:
    """A price book with the prices quoted for what is bought, and the old rows of all else.

    An item that is bought has no row but those it is bought by, so that an order made with it is that choice.
    """
    decided = {purchase.need.item for purchase in split.purchases}
    kinds = {need.item: need.kind for need in asked.needs}
    quoted = {_key(line.quote.pack): line.quote for lines in split.lines.values() for line in lines}
    rows: list[tuple[Cell, ...]] = [HEADER]
    for quote in quoted.values():
        rows.append(_row(quote.pack, quote.price, currency, kinds))
    for pack in asked.packs:
        if pack.item not in decided:
            rows.append(_row(pack, pack.price, currency, kinds))
    return BYTE_ORDER_MARK + csv_bytes(rows)


def _row(pack: Pack, price: Decimal | None, currency: str, kinds: Mapping[str, str]) -> tuple[Cell, ...]:
    return (
        pack.item, pack.description, kinds.get(pack.item, ""), pack.unit, pack.pack_size, price, currency,
        pack.supplier, pack.lead_days, pack.minimum_packs, pack.step, pack.least,
    )  # fmt: skip
