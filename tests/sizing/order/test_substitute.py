"""Rope that came instead of what was ordered: taken in by what the note says, cut where it serves."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal

import pytest

from sizing.audit import AuditContext, audit_fleet, plan_boats
from sizing.drogue.strengthen import strike_required
from sizing.drogue.strike_fleet import StrikePlan
from sizing.errors import CatalogueError
from sizing.model import Order
from sizing.model.supply import Supply
from sizing.order.amend import Delivery, stock_in_hand
from sizing.order.came import NEEDED
from sizing.order.consent import order_with_consent
from sizing.order.stock import ClubStock
from sizing.order.tags import metres_of
from sizing.order.write_json import json_bytes
from sizing.policy import Policy
from tests.sizing.audit.boats import CATALOGUE, TODAY, boat, fleet_of
from tests.sizing.order.price_books import KNOWN

SMALL = {"device_type": "none", "displacement": "15,000 lb", "loa": "10.5 m", "lwl": "9.4 m", "beam": "3.5 m"}
CAME = {
    "came_diameter": "26 mm", "came_brand": "Hawse No. 3", "came_material": "nylon double braid",
    "came_strength": "150 kN", "certificate": "mill certificate 114", "came_price": "640.00",
}  # fmt: skip


class Weeks:
    """Boats that need whole drogues, week by week."""

    def __init__(self, *boats: Mapping[str, str]) -> None:
        fleet, policy = fleet_of(*boats), Policy()
        needed, _ = strike_required(fleet, policy, CATALOGUE, StrikePlan(samples=0, histories=False))
        self.context = AuditContext(fleet, needed, policy, CATALOGUE, TODAY)
        self.plans = plan_boats(self.context, audit_fleet(self.context))
        self.deliveries: list[Delivery] = []
        self.again()

    @property
    def stock(self) -> ClubStock:
        return stock_in_hand(self.deliveries, None, KNOWN, new=True)

    def again(self) -> Order:
        c, none = self.context, Supply("rally order")
        stock = self.stock if self.deliveries else None
        self.order = order_with_consent(
            c.fleet, c.requirements, self.plans, [none] * len(c.fleet), c.policy, CATALOGUE, None,
            stock=stock, context=c, time_limit_s=5.0,
        )  # fmt: skip
        return self.order

    def receive(self, rows: Sequence[Mapping[str, str]]) -> None:
        heads = list(dict.fromkeys(head for row in rows for head in row))
        lines = [",".join(heads), *(",".join(row.get(head, "") for head in heads) for row in rows)]
        name = f"note {len(self.deliveries) + 1}.csv"
        order = json_bytes(self.order, self.context.fleet)
        kept = list(self.deliveries)
        self.deliveries.append(Delivery("\n".join(lines).encode(), name, order))
        try:
            assert self.stock
        except CatalogueError:
            self.deliveries = kept
            raise

    def lead(self, row: int = 0) -> str:
        return next(p.item for p in self.order.pieces if p.row == row and p.purpose == "lead line")

    def ordered(self, item: str) -> Decimal:
        return sum((line.needed for line in self.order.lines
                    if line.item == item and line.supplier != "in hand"), Decimal(0))  # fmt: skip


@pytest.fixture(scope="module")
def start() -> Weeks:
    return Weeks(boat(**{**boat(), **SMALL}), boat(device_type="none"))


@pytest.fixture
def weeks(start: Weeks) -> Weeks:
    start.deliveries = []
    start.again()
    return start


def test_a_thicker_rope_of_another_make_is_cut_and_the_thin_is_not_bought_again(weeks: Weeks) -> None:
    item = weeks.lead()
    before = weeks.ordered(item)
    weeks.receive([{"item": item, "packs": "1", "pack_size": "100 m", **CAME}])
    weeks.again()
    (rope,) = weeks.stock.came
    lead = next(p for p in weeks.order.pieces if p.row == 0 and p.purpose == "lead line")
    assert lead.item == rope.item.id
    assert weeks.ordered(item) < before
    spools = [spool for spool in weeks.order.spools if spool.item == rope.item.id]
    assert {spool.tag for spool in spools} == {"R1"}
    shown = {(one.row, one.purpose) for one in weeks.order.came_for if one.shown}
    assert (0, "lead line") in shown
    said = next(one.sentence for one in weeks.order.came_for if one.purpose == "lead line" and one.row == 0)
    assert "26 mm nylon double braid, Hawse No. 3, 150 kN by mill certificate 114 came instead" in said
    assert "Her lead line is cut of it: it holds" in said


def test_what_goes_with_it_is_as_thick(weeks: Weeks) -> None:
    """Thimbles for the rope that came; rule 20: 26 mm and 3 mm pass the usual small end of 38 mm."""
    weeks.receive([{"item": weeks.lead(), "packs": "1", "pack_size": "100 m", **CAME}])
    weeks.again()
    thimbles = {p.item: p.quantity for p in weeks.order.pieces if p.row == 0 and p.kind == "thimble"}
    table = CATALOGUE.thimbles
    taken = [table.rope_diameter_m[table.id.index(item)] for item in thimbles]
    assert max(taken) >= 0.026


def test_what_is_made_for_her_goes_by_it_and_what_she_needs_does_not(weeks: Weeks) -> None:
    """Kits, joints and cut lists are made by `made`; a heavier rope is heavier to stow."""
    assert weeks.order.made is None
    weeks.receive([{"item": weeks.lead(), "packs": "1", "pack_size": "100 m", **CAME}])
    made, needed = weeks.again().made, weeks.context.requirements
    assert made is not None
    assert (
        CATALOGUE.ropes.diameter_m[made.lead_rope[0]]
        >= 0.026
        > CATALOGUE.ropes.diameter_m[needed.lead_rope[0]]
    )
    assert CATALOGUE.thimbles.rope_diameter_m[made.thimble[0]] >= 0.026
    assert made.stowed_mass_kg[0] > needed.stowed_mass_kg[0]
    assert made.stowed_volume_m3[0] > needed.stowed_volume_m3[0]
    assert made.chosen_load_n[0] >= needed.chosen_load_n[0]


def test_it_stays_cut_from_week_to_week(weeks: Weeks) -> None:
    item = weeks.lead()
    weeks.receive([{"item": item, "packs": "1", "pack_size": "100 m", **CAME}])
    weeks.again()
    (rope,) = weeks.stock.came
    weeks.receive([{"item": rope.item.id, "packs": "0", "cut": "1"}])
    first = {(c.entry_no, c.purpose): c.length_mm for c in weeks.stock.cut[rope.item.id]}
    assert first
    for _ in range(2):
        weeks.again()
        pieces = {(str(p.row + 1), p.purpose) for p in weeks.order.pieces if p.item == rope.item.id}
        assert pieces >= set(first)
    assert sum(m for _, m in metres_of(weeks.stock.tags, rope.item.id)) == 0


def test_rope_that_is_too_weak_is_kept_and_not_cut_and_it_is_said_why(weeks: Weeks) -> None:
    item = weeks.lead()
    before = weeks.ordered(item)
    weeks.receive([{"item": item, "packs": "1", "pack_size": "100 m", **CAME, "came_strength": "20 kN"}])
    weeks.again()
    assert weeks.ordered(item) == before
    assert all(not one.shown for one in weeks.order.came_for)
    assert "the rope is not strong enough" in weeks.order.came_for[0].sentence
    assert "Her own rope stays on order." in weeks.order.came_for[0].sentence
    assert [one.state for one in weeks.stock.tags] == ["whole"]


def test_rope_of_another_fibre_makes_no_part(weeks: Weeks) -> None:
    weeks.receive(
        [{"item": weeks.lead(), "packs": "1", "pack_size": "100 m", **CAME, "came_material": "polyester"}]
    )
    weeks.again()
    assert weeks.order.came_for
    assert all("it is polyester" in one.sentence for one in weeks.order.came_for)


@pytest.mark.parametrize("wanting", sorted(NEEDED))
def test_what_the_note_does_not_say_is_asked_for_by_its_cell(weeks: Weeks, wanting: str) -> None:
    row = {"item": weeks.lead(), "packs": "1", "pack_size": "100 m", **CAME, wanting: ""}
    with pytest.raises(CatalogueError, match=rf"note 1\.csv, line 2, column “{wanting}”: nothing is said"):
        weeks.receive([row])
    assert not weeks.deliveries


@pytest.mark.parametrize(("change", "words"), [
    ({"item": "NDB-06"}, "column “item”: “NDB-06” was never ordered"),
    ({"packs": "900"}, "column “packs”: 18000.000 m came"),
    ({"packs": "-1"}, "column “packs”: “-1”. Expected: a whole number from 0"),
    ({"pack_size": "-5 m"}, "column “pack_size”"),
    ({"item": "ROPE-X"}, "“ROPE-X” is not in the catalogue"),
    ({**CAME, "came_strength": "strong"}, "column “came_strength”"),
    ({**CAME, "came_diameter": "26"}, "column “came_diameter”"),
    ({**CAME, "came_price": "0"}, "column “came_price”"),
    ({**CAME, "came_material": "hemp"}, "column “came_material”: “hemp”"),
])  # fmt: skip
def test_a_wrong_note_names_its_cell_and_nothing_of_it_is_taken(
    weeks: Weeks, change: dict[str, str], words: str
) -> None:
    good = {"item": weeks.lead(), "packs": "1", "pack_size": "20 m"}
    with pytest.raises(CatalogueError) as refused:
        weeks.receive([good, {**good, **change}])
    assert words in str(refused.value)
    assert "note 1.csv, line 3" in str(refused.value)
    assert not weeks.deliveries


def test_the_same_note_twice_is_refused_and_its_cuts_are_not(weeks: Weeks) -> None:
    item = weeks.lead()
    weeks.receive([{"item": item, "packs": "1", "pack_size": "20 m"}])
    with pytest.raises(CatalogueError, match=r"received before, as note 1\.csv"):
        weeks.receive([{"item": item, "packs": "1", "pack_size": "20 m"}])
    assert len(weeks.deliveries) == 1
    weeks.receive([{"item": item, "packs": "1", "pack_size": "20 m", "note": "second note"}])


def test_more_than_ordered_is_taken_in_where_the_note_says_so(weeks: Weeks) -> None:
    weeks.receive([{"item": weeks.lead(), "packs": "900", "pack_size": "100 m", "extra": "yes"}])
    assert len(weeks.stock.tags) == 900
