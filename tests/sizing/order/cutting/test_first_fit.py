"""First-fit-decreasing, bin by bin, against the textbook rule, piece by piece."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from sizing.order.cutting import CutProblem, Piece, Stock
from sizing.order.cutting.first_fit import first_fit_decreasing
from sizing.order.cutting.grid import to_instance, uses_of


def _textbook(lengths: list[int], spool: int) -> int:
    """Each piece, longest first, goes on the first spool with room; number of spools."""
    rooms: list[int] = []
    for length in sorted(lengths, reverse=True):
        for index, room in enumerate(rooms):
            if length <= room:
                rooms[index] -= length
                break
        else:
            rooms.append(spool - length)
    return len(rooms)


@given(st.lists(st.integers(1, 100), min_size=1, max_size=60), st.integers(100, 230))
def test_same_number_of_spools_as_the_textbook_rule(lengths: list[int], spool: int) -> None:
    pieces = [Piece(length, f"boat {i}") for i, length in enumerate(lengths)]
    instance = to_instance(CutProblem(tuple(pieces), (Stock("s", spool),)), pieces)
    packing, _ = first_fit_decreasing(instance)
    assert packing is not None
    assert uses_of(instance, packing).tolist() == [_textbook(lengths, spool)]
