"""The choice between replies in sentences: of whom, for how much, what was not taken and why."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import ROUND_HALF_UP, Decimal
from typing import Final

from sizing.order.money import CENT
from sizing.order.quotes.asked import Round
from sizing.order.quotes.purchases import Purchase
from sizing.order.quotes.reply import Reply
from sizing.order.quotes.split import Split

_NAMED: Final = 12


def explained(asked: Round, replies: Sequence[Reply], split: Split) -> list[str]:
    """Return the sentences, the result first; all of it is in the comparison's rows too."""
    currency = replies[0].currency if replies else asked.currency
    lines = [f"Request {asked.number} of {asked.rally}, prices without VAT in {currency}."]
    for supplier, bought in split.lines.items():
        goods = sum((line.amount for line in bought), Decimal(0))
        said = f"Of {supplier}: {_counted(len(bought), 'line')}, {goods:,.2f}"
        said += f", carriage {split.carriage[supplier]:,.2f}" if split.carriage[supplier] else ""
        more = split.raised.get(supplier)
        said += f", and {more:,.2f} more since the least order is higher" if more else ""
        lines.append(f"{said}.")
    lines.append(f"In all: {split.cost:,.2f}{_with_vat(asked, split)}.")
    lines += [_alone(supplier, split) for supplier in split.alone]
    lines += _dearer(split)
    lines += _other_packs(split)
    lines += _instead(split)
    lines += [_listed("Not taken", [_not_taken(one.quote.pack.supplier, one.quote.pack.item, one.why)
                                    for one in split.not_taken])] if split.not_taken else []  # fmt: skip
    if split.nobody:
        names = [f"{need.item} ({need.description})" for need in split.nobody]
        lines.append(_listed("Not bought, since no quote that counts covers it", names))
    silent = [one for one in asked.suppliers if one and one not in split.alone]
    if silent:
        lines.append(f"No reply of {', '.join(silent)}.")
    lines += [f"{reply.supplier} remarks: {reply.remarks}" for reply in replies if reply.remarks]
    return lines + [note for reply in replies for note in reply.notes] + list(_missing(asked))


def _with_vat(asked: Round, split: Split) -> str:
    if asked.vat_percent is None:
        return " without VAT"
    gross = (split.cost * (1 + asked.vat_percent / 100)).quantize(CENT, ROUND_HALF_UP)
    return f" without VAT, {gross:,.2f} with VAT of {asked.vat_percent.normalize():f} %"


def _alone(supplier: str, split: Split) -> str:
    alone = split.alone[supplier]
    if not alone.cost:
        return f"All of {supplier} alone: nothing that counts."
    without = f", without {_counted(len(alone.without), 'item')} of the order" if alone.without else ""
    return f"All of {supplier} alone: {alone.cost:,.2f}{without}."


def _dearer(split: Split) -> Iterator[str]:
    """Items for which another way is cheaper by itself, and not in all."""
    for purchase in split.purchases:
        least = min(split.ways[purchase.need.item], key=lambda way: way.cost)
        if least.cost < purchase.cost:
            yield (
                f"{purchase.need.item}: {purchase.cost:,.2f} of {_names(purchase)}; {least.cost:,.2f} of"
                f" {_names(least)} is cheaper by itself, and not with carriage and least orders."
            )


def _other_packs(split: Split) -> list[str]:
    """Lines that are not of the number of packs that was asked for: the price is to be confirmed for them."""
    found = []
    for purchase in split.purchases:
        for line in purchase.lines:
            pack = line.quote.pack
            packs = line.packs * line.pack_size / pack.pack_size
            if packs != (pack.packs or 0):
                asked = f"{pack.packs.normalize():f}" if pack.packs else "price only"
                found.append(f"{pack.item} of {pack.supplier}: {packs.normalize():f} (asked: {asked})")
    return [_listed("Ask whether the price holds for these packs", found)] if found else []


def _instead(split: Split) -> list[str]:
    """What is bought in place of what was asked, with the caution that goes with it."""
    found = [
        f"{line.quote.pack.item} of {line.supplier}: “{line.quote.instead}”"
        for lines in split.lines.values()
        for line in lines
        if line.quote.instead
    ]
    if not found:
        return []
    caution = (
        "Boats were sized with what was asked: have somebody see that it goes through small ends, thimbles"
        " and tapes, and stretches no less, before it is ordered."
    )
    return [_listed("Accepted instead", found), caution]


def _not_taken(supplier: str, item: str, why: str) -> str:
    return f"{item} of {supplier}: {why}"


def _missing(asked: Round) -> Iterator[str]:
    for said, what in (
        (asked.buyer, "buyer in [purchase]"), (asked.delivery, "delivery in [purchase]"),
        (asked.contact, "contact in [rally]"),
        (asked.needed_by, "departure, or a milestone that closes the work, in [rally]"),
        ("" if asked.vat_percent is None else "known", "vat_percent in [purchase]"),
    ):  # fmt: skip
        if not said:
            yield f"The policy has no {what}."


def _names(purchase: Purchase) -> str:
    return " and ".join(purchase.by_supplier)


def _listed(head: str, said: Sequence[str]) -> str:
    rest = f"; and {len(said) - _NAMED} more in the comparison" if len(said) > _NAMED else ""
    return f"{head}: {'; '.join(said[:_NAMED])}{rest}."


def _counted(count: int, one: str) -> str:
    return f"{count} {one}" if count == 1 else f"{count} {one}s"
