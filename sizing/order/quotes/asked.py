"""What is asked of suppliers: the needs of one order, and of which packs each of them is asked the price.

A round is kept as `asked.json` beside the workbooks, so that replies can be read back without the season. Of
boats and skippers it knows nothing; the price book's own prices are in that file and in no workbook.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence
from datetime import date
from decimal import Decimal
from fractions import Fraction

from pydantic import BaseModel, ConfigDict, Field

from sizing.catalogue import Catalogue
from sizing.errors import CatalogueError
from sizing.model import Order, OrderLine
from sizing.order.buying import IN_HAND, buy_counts, offers_for
from sizing.order.consumables import known_items
from sizing.order.heading import need_of
from sizing.order.items import CUT_KINDS, STEP, Item
from sizing.order.length_stock import MM, pack_mm, runs
from sizing.order.money import FLEET_ACCOUNT
from sizing.order.prices import Offer, PriceBook
from sizing.order.quotes.required import required
from sizing.order.sheets import in_hand_lengths
from sizing.policy import Policy
from sizing.spreadsheet import plain_text

ASKED = "asked.json"


class _Kept(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)


class Need(_Kept):
    """One item of the order that has to be bought.

    `amount` is what is needed by the sum, in `unit`; `pieces` are lengths in mm and how many, where it is cut
    in single lengths. `strength_kn` is the least certified breaking strength, where the item has one.
    """

    item: str
    description: str
    kind: str
    unit: str
    amount: Decimal
    pieces: tuple[tuple[int, int], ...] = ()
    least: str
    instead: str
    strength_kn: Decimal | None = None


class Pack(_Kept):
    """One row of the price book: an item as one supplier sells it.

    `packs` is how many are asked for: 0 where the price alone is asked, None where nothing is. With a `step`
    it is cut to length, and `packs` may be a fraction. `price` is the price book's, for a pack.
    """

    item: str
    description: str
    unit: str
    supplier: str
    pack_size: Decimal
    step: Decimal | None = None
    least: Decimal | None = None
    minimum_packs: int = 1
    lead_days: int | None = None
    price: Decimal | None = None
    packs: Decimal | None = None

    def offer(self, price: Decimal | None) -> Offer:
        """Return it as an offer at a price for a pack."""
        return Offer(
            self.item, self.description, self.unit, self.pack_size, price, self.supplier, self.lead_days,
            self.minimum_packs, 0, self.step, self.least,
        )  # fmt: skip


class Round(_Kept):
    """All that is asked at one time. `number` tells one round from another; "" stands for what is missing."""

    schema_no: int = Field(1, ge=1, le=1)
    rally: str
    buyer: str
    delivery: str
    contact: str
    needed_by: date | None
    needed_for: str
    currency: str
    vat_percent: Decimal | None
    end_loss_mm: int
    needs: tuple[Need, ...]
    packs: tuple[Pack, ...]

    @property
    def number(self) -> str:
        """Eight signs that change with everything that is asked."""
        return hashlib.sha256(self.model_dump_json().encode()).hexdigest()[:8].upper()

    @property
    def suppliers(self) -> tuple[str, ...]:
        """Whoever is asked for something, in the order of the price book; "" for any who is not named."""
        return tuple(dict.fromkeys(pack.supplier for pack in self.packs if pack.packs is not None))

    def asked_of(self, supplier: str) -> tuple[Pack, ...]:
        """What one supplier is asked, in the order of the needs, larger numbers of packs first."""
        place = {need.item: at for at, need in enumerate(self.needs)}
        found = [pack for pack in self.packs if pack.supplier == supplier and pack.packs is not None]
        return tuple(sorted(found, key=lambda pack: (place[pack.item], -(pack.packs or 0), -pack.pack_size)))

    def kept(self) -> bytes:
        """The round as it is kept."""
        content = {"number": self.number, **json.loads(self.model_dump_json())}
        return (json.dumps(content, ensure_ascii=False, indent=1) + "\n").encode()


def parse_round(data: bytes, name: str) -> Round:
    """Read a round as it was kept; CatalogueError for anything else."""
    try:
        content = json.loads(data)
        number = content.pop("number")
        found = Round.model_validate(content)
        if number != found.number:
            raise ValueError
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        raise CatalogueError(
            name, "it is not what this program wrote when it asked", f"the {ASKED} of an order",
            "make the order anew with publish or run, and ask again",
        ) from None  # fmt: skip
    return found


def round_of(order: Order, prices: PriceBook | None, policy: Policy, catalogue: Catalogue) -> Round:
    """Return what is to be asked for an order.

    Every supplier of the price book is asked for all that the order buys and he sells, whoever it is bought
    of so far, and only for that: as many packs as the order takes where it takes the item of him alone, else
    as many as would do without anybody else's. His other packs are asked by price alone.
    """
    items = known_items(catalogue)
    day, purchase = need_of(policy), policy.purchase
    needs, packs = [], []
    for item_id, lines in _bought(order).items():
        item, pieces = items[item_id], _pieces(order, item_id)
        needs.append(_need(item, lines, pieces, policy, catalogue))
        offers = offers_for(item, prices)[0]
        for supplier in dict.fromkeys(offer.supplier for offer in offers):
            own = [offer for offer in offers if offer.supplier == supplier]
            taken = _packs_asked(item, lines, pieces, own, policy)
            packs += [_pack(offer, Decimal(taken.get(offer, 0))) for offer in own]
    wanted = {need.item for need in needs}
    rest = [offer for offers in (prices.offers.values() if prices else ()) for offer in offers]
    packs += [_pack(offer, None) for offer in rest if offer.item not in wanted]
    vat = purchase.vat_percent
    return Round(
        schema_no=1, rally=plain_text(policy.rally.name), buyer=plain_text(purchase.buyer),
        delivery=plain_text(purchase.delivery), contact=plain_text(policy.rally.contact),
        needed_by=day.latest if day else None, needed_for=plain_text(day.told) if day else "",
        currency=order.currency, vat_percent=None if vat is None else Decimal(repr(vat)),
        end_loss_mm=round(policy.order.spool_end_loss * MM), needs=tuple(needs), packs=tuple(packs),
    )  # fmt: skip


def _bought(order: Order) -> Mapping[str, list[OrderLine]]:
    found: dict[str, list[OrderLine]] = {}
    for line in order.lines:
        if line.packs and line.pack_size and line.supplier != IN_HAND:
            found.setdefault(line.item, []).append(line)
    return found


def _pieces(order: Order, item: str) -> tuple[tuple[int, int], ...]:
    """What is cut from packs that are still to be bought: lengths in mm, longest first, and how many."""
    shelf = in_hand_lengths(order).get(item, 0)
    counts: dict[int, int] = {}
    for spool in order.spools:
        if spool.item == item and spool.spool_no > shelf:
            for piece, count in runs(spool):
                mm = round(piece.length_m * MM)
                counts[mm] = counts.get(mm, 0) + count
    return tuple(sorted(counts.items(), reverse=True))


def _need(
    item: Item,
    lines: Sequence[OrderLine],
    pieces: tuple[tuple[int, int], ...],
    policy: Policy,
    catalogue: Catalogue,
) -> Need:
    asked = required(item, catalogue)
    least = asked.least
    if pieces:
        longest = Decimal(pieces[0][0]) / MM + Decimal(repr(policy.order.spool_end_loss))
        least += f" Longest single length: {longest.normalize():f} m."
    return Need(
        item=item.id, description=plain_text(item.description), kind=item.kind, unit=item.unit,
        amount=sum((line.needed + line.spare for line in lines), Decimal(0)), pieces=pieces,
        least=least.strip(), instead=asked.instead, strength_kn=asked.strength_kn,
    )  # fmt: skip


def _pack(offer: Offer, packs: Decimal | None) -> Pack:
    return Pack(
        item=offer.item, description=plain_text(offer.description), unit=offer.unit,
        supplier=plain_text(offer.supplier), pack_size=offer.pack_size, step=offer.step, least=offer.least,
        minimum_packs=offer.minimum_packs, lead_days=offer.lead_days, price=offer.pack_price, packs=packs,
    )  # fmt: skip


def _packs_asked(
    item: Item,
    lines: Sequence[OrderLine],
    pieces: tuple[tuple[int, int], ...],
    own: Sequence[Offer],
    policy: Policy,
) -> Mapping[Offer, Decimal]:
    """How many packs of each of a supplier's offers he is asked for."""
    supplier = own[0].supplier
    if all(line.supplier == supplier for line in lines):
        return _as_offered(lines, own)
    if item.kind not in CUT_KINDS:
        need = sum((line.needed + line.spare for line in lines), Decimal(0))
        return _as_offered(buy_counts(item, {FLEET_ACCOUNT: need}, Decimal(0), own, Decimal(0)), own)
    loss = round(policy.order.spool_end_loss * MM)
    whole = [one for one in own if one.step is None]
    long_enough = [one for one in whole if pack_mm(one) - loss >= pieces[0][0]] or whole
    if not long_enough:
        to_length = own[0]
        metres = Decimal(sum(mm * n for mm, n in pieces) + loss) * STEP["m"]
        steps = -(-metres // (to_length.step or STEP["m"]))
        return _as_offered([_line(to_length.cut_to(int(steps)), 1)], own)
    best = min(long_enough, key=_rate)
    return {best: Decimal(max(packs_for(pieces, pack_mm(best) - loss), best.minimum_packs))}


def _rate(offer: Offer) -> tuple[Fraction, Decimal]:
    """By price for a unit where it has one, else the larger pack first."""
    return Fraction(offer.pack_price or 0) / Fraction(offer.pack_size), -offer.pack_size


def packs_for(pieces: Sequence[tuple[int, int]], room_mm: int) -> int:
    """Return how many lengths of `room_mm` take all pieces that fit in one, longest first.

    First-fit decreasing, at most 11/9 of the least and 6/9 more [Dosa 2007]; enough to ask by, since what is
    bought is worked out when the replies are in.

    >>> packs_for([(60, 2), (40, 2), (200, 1)], 100)
    2
    """
    rooms: list[int] = []
    for mm, count in pieces:
        for _ in range(count if mm <= room_mm else 0):
            at = next((at for at, room in enumerate(rooms) if room >= mm), None)
            if at is None:
                rooms.append(room_mm - mm)
            else:
                rooms[at] -= mm
    return len(rooms)


def _line(offer: Offer, packs: int) -> OrderLine:
    nothing = Decimal(0)
    return OrderLine(offer.item, "", offer.unit, nothing, nothing, offer.pack_size, packs, offer.supplier,
                     offer.pack_price, None, None, {}, "")  # fmt: skip


def _as_offered(lines: Sequence[OrderLine], own: Sequence[Offer]) -> Mapping[Offer, Decimal]:
    """Lines counted in the packs of the offers they are of; a length cut to measure in parts of a pack."""
    counts: dict[Offer, Decimal] = {}
    for line in lines:
        size, packs = line.pack_size or Decimal(1), Decimal(line.packs or 0)
        offer = next((one for one in own if one.step is None and one.pack_size == size), None)
        if offer is None:
            offer = next((one for one in own if one.step is not None), own[0])
            packs = packs * size / offer.pack_size
        counts[offer] = counts.get(offer, Decimal(0)) + packs
    return counts
