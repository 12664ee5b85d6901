"""The pieces of one boat's plan."""

from __future__ import annotations

import pytest

from sizing.model import PartGroup, Piece
from sizing.order.pieces import parts_list, pieces_for
from sizing.order.rope_pieces import extension_section
from tests.sizing.order.fleet_builder import Boat, case


def made(boat: Boat) -> tuple[Piece, ...]:
    c = case([boat])
    return pieces_for(c.plans[0], c.fleet, c.requirements, c.policy, c.catalogue)


def of_kind(pieces: tuple[Piece, ...], kind: str) -> list[Piece]:
    return [piece for piece in pieces if piece.kind == kind]


def test_a_whole_drogue() -> None:
    pieces = made(Boat())
    ropes = {piece.purpose: (piece.item, piece.quantity, piece.length_m) for piece in of_kind(pieces, "rope")}
    # Cut lengths up to the next 0.1 m: 75 ft + 2 ft = 23.47 m; 60 x 20 in + 2 ft; 41 x 20 in + 2 ft + 2 ft.
    assert ropes == {
        "lead line": ("NDB-20", 1, 23.5),
        "cone line, section 1": ("NDB-20", 1, 31.1),
        "cone line, section 2": ("NDB-16", 1, 22.1),
        "bridle leg": ("NDB-20", 2, 7.9),
    }
    assert [(p.item, p.quantity) for p in of_kind(pieces, "cone")] == [("RIP-1.5", 101)]
    # Common practice, no source: three tapes a cone, each cut 30 in.
    assert [(p.quantity, p.length_m) for p in of_kind(pieces, "tape")] == [(303, 0.762)]
    assert sum(p.quantity for p in of_kind(pieces, "thimble")) == 2 + 4 + 4
    assert {p.item for p in of_kind(pieces, "thimble")} == {"THM-20", "THM-16"}
    # 20 mm rope: thimbles 32.5 mm across. Two in the bow of 8.5 t (68), one between the jaws of 6.5 t (36);
    # at the attachments 3.25 t, long enough for thimble and plate; 12 mm chain takes the pin of 1.5 t (13 in
    # 14.4).
    assert [(p.purpose, p.item, p.quantity) for p in of_kind(pieces, "shackle")] == [
        ("section 2 to end weight", "SHB-1.5t", 1),
        ("bridle legs to lead line", "SHB-8.5t", 1),
        ("lead line to section 1", "SHB-6.5t", 1),
        ("attachment to bridle leg", "SHB-3.25t", 2),
    ]
    # 12 kg of 12 mm chain at 3.25 kg/m: 3.69 m, the lightest chain that is no longer than 4 m.
    assert [(p.item, p.length_m) for p in of_kind(pieces, "chain")] == [("CHN-12", 3.7)]
    assert [(p.item, p.quantity) for p in of_kind(pieces, "sleeve")] == [("CHF-20", 2)]
    assert [p.item for p in of_kind(pieces, "bag")] == ["BAG-90"]
    assert [p.quantity for p in of_kind(pieces, "label")] == [1]
    assert {p.item for p in of_kind(pieces, "thread")} == {"THREAD-SEW", "TWINE-WHIP"}


def test_every_piece_has_a_source_and_belongs_to_the_boat() -> None:
    for piece in made(Boat(groups=(*Boat().groups, "attachments"))):
        assert piece.source.startswith("[")
        assert piece.row == 0
        assert piece.quantity > 0


def test_nothing_is_ordered_for_a_plan_without_parts() -> None:
    assert made(Boat(groups=())) == ()


def test_nothing_is_ordered_for_a_boat_not_computed_and_it_is_said() -> None:
    c = case([Boat(reason_not_computed="No shackle is strong enough.")])
    parts = parts_list(c.plans[0], c.fleet, c.requirements, c.policy, c.catalogue)
    assert parts.pieces == ()
    assert parts.problems[0].row == 0
    assert "No shackle is strong enough." in parts.problems[0].sentence


def test_an_extension_carries_the_new_cones_alone() -> None:
    pieces = made(Boat(groups=("cones", "extension"), cones_to_make=20))
    rope = of_kind(pieces, "rope")
    # 20 x 20 in + 2 ft + two splices of 1 ft: 10.16 + 0.61 + 0.61 = 11.38 m
    assert [(p.item, p.purpose, p.length_m) for p in rope] == [("NDB-16", "extension for 20 cones", 11.4)]
    assert [p.quantity for p in of_kind(pieces, "cone")] == [20]
    assert [p.quantity for p in of_kind(pieces, "thimble")] == [2]


def test_a_long_extension_takes_a_rope_sized_for_its_cones() -> None:
    c = case([Boat(groups=("cones", "extension"), cones_to_make=50)])
    assert extension_section(c.plans[0], c.requirements) == 0
    assert [p.item for p in of_kind(made(Boat(groups=("extension",), cones_to_make=50)), "rope")] == [
        "NDB-20"
    ]


def test_cones_moved_to_new_rope_are_not_made_again() -> None:
    pieces = made(Boat(groups=("cone line",), cones_to_make=0))
    assert of_kind(pieces, "cone") == []
    assert of_kind(pieces, "tape") == []
    assert len(of_kind(pieces, "rope")) == 2


def test_thimbles_for_the_rope_aboard_are_of_its_own_size() -> None:
    pieces = made(Boat(groups=("thimbles",), cones_to_make=0, own_sections_m=(0.018, 0.014, 0.012)))
    found = [(p.item, p.purpose, p.quantity) for p in of_kind(pieces, "thimble")]
    assert found == [
        ("THM-20", "lead line, ends", 2),
        ("THM-18", "cone line, section 1, ends", 2),
        ("THM-14", "cone line, section 2, ends", 2),
        ("THM-12", "cone line, section 3, ends", 2),
        ("THM-20", "bridle leg, ends", 4),
    ]
    assert of_kind(pieces, "rope") == []


def test_heavy_boats_get_the_heavy_cloth() -> None:
    assert [p.item for p in of_kind(made(Boat(heavy=True)), "cone")] == ["RIP-2.2"]


def test_a_heavy_drogue_gets_so_many_bags_and_labels_that_none_is_too_heavy() -> None:
    # 68 kg, and 50 kg is the most for one bag: two bags of 60 litres each, as 0.12 m3 divided by two.
    pieces = made(Boat(stowed_mass_kg=68.0, stowed_volume_m3=0.12))
    found = [(p.item, p.purpose, p.quantity) for p in of_kind(pieces, "bag")]
    assert found == [("BAG-60", "stowage, 60 litres each", 2)]
    assert [p.quantity for p in of_kind(pieces, "label")] == [2]


def test_attachment_plates_name_the_load_and_the_surveyor() -> None:
    plates = of_kind(made(Boat(groups=("attachments",), cones_to_make=0)), "attachment")
    assert [p.quantity for p in plates] == [2, 2]
    assert "35.0 kN" in plates[0].purpose
    assert "surveyor" in plates[0].purpose


@pytest.mark.parametrize(
    ("boat", "words"),
    [
        (Boat(stowed_volume_m3=5.0), "No bag"),
        (Boat(groups=("thimbles",), cones_to_make=0, own_sections_m=(0.5,)), "No thimble"),
    ],
)
def test_a_part_the_catalogue_lacks_is_told_and_the_rest_is_ordered(boat: Boat, words: str) -> None:
    c = case([boat])
    parts = parts_list(c.plans[0], c.fleet, c.requirements, c.policy, c.catalogue)
    assert [words in problem.sentence for problem in parts.problems] == [True]
    assert parts.pieces


GROUPS: tuple[PartGroup, ...] = (
    "cones", "extension", "lead line", "cone line", "bridle", "end weight", "thimbles", "shackles",
    "chafe gear", "attachments", "stowage bag", "recovery gear",
)  # fmt: skip


@pytest.mark.parametrize("group", GROUPS)
def test_every_group_of_a_plan_orders_something(group: PartGroup) -> None:
    assert made(Boat(groups=(group,), cones_to_make=10))
