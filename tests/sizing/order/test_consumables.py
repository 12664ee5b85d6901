"""Small parts, common pack sizes, and metres of cloth."""

from __future__ import annotations

from decimal import Decimal

import pytest

from sizing.catalogue import load_catalogue
from sizing.errors import CatalogueError
from sizing.model import ConeSize
from sizing.order.cloth_yield import cloth_needed_m
from sizing.order.consumables import common_pack_sizes, known_items, load_consumables, parse_consumables
from sizing.policy import Policy

HEAD = b"id,name,kind,unit,basis,amount,source,note\n"


def test_every_part_has_a_source_and_a_basis() -> None:
    for part in load_consumables():
        assert part.item.source.startswith("[")
        assert part.amount > 0


def test_every_kind_that_can_be_ordered_has_a_common_pack_size() -> None:
    kinds = {item.kind for item in known_items(load_catalogue()).values()}
    assert kinds == set(common_pack_sizes())


@pytest.mark.parametrize(
    ("line", "column"),
    [
        (b"A,a,thread,yd,new cone,4,[assumed],\n", "unit"),
        (b"A,a,thread,m,full moon,4,[assumed],\n", "basis"),
        (b"A,a,thread,m,new cone,-4,[assumed],\n", "amount"),
        (b"A,a,thread,m,new cone,0.00001,[assumed],\n", "amount"),
        (b"A,a,label,piece,new cone,0.5,[assumed],\n", "amount"),
        (b"A,a,thread,m,new cone,4,,\n", "source"),
    ],
)
def test_a_bad_cell_is_named(line: bytes, column: str) -> None:
    with pytest.raises(CatalogueError, match=f"own.csv, line 2, column “{column}”"):
        parse_consumables(HEAD + line, "own.csv")


def test_more_cones_never_need_less_cloth() -> None:
    lengths = [cloth_needed_m({ConeSize(0.127, 0.0381): n}, 1.5, Policy()) for n in range(0, 200, 7)]
    assert lengths == sorted(lengths)
    assert lengths[0] == Decimal(0)


def test_cloth_narrower_than_the_pattern_is_refused() -> None:
    with pytest.raises(CatalogueError, match="wider cloth"):
        cloth_needed_m({ConeSize(0.127, 0.0381): 1}, 0.1, Policy())
