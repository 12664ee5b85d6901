"""Exhaustive search over every way to cut a handful of pieces; shares no code with the optimiser."""

from __future__ import annotations

from sizing.order.cutting import CutProblem


def least_value_and_spools(problem: CutProblem) -> tuple[int, int] | None:
    """Least (cost or length bought, spools bought) that cuts every piece; None when nothing does."""
    priced = all(kind.price_cents is not None for kind in problem.stock)
    kinds = [
        (kind.length_mm, (kind.price_cents or 0) if priced else kind.length_mm, kind.available)
        for kind in problem.stock
    ]
    pieces = sorted(
        (piece.length_mm + problem.per_piece_mm for piece in problem.pieces for _ in range(piece.quantity)),
        reverse=True,
    )
    best: tuple[int, int] | None = None

    def place(index: int, rooms: list[int], shelf: list[int], used: list[int]) -> None:
        nonlocal best
        value = sum(n * price for n, (_, price, _) in zip(used, kinds, strict=True))
        if best is not None and (value, sum(used)) >= best:
            return
        if index == len(pieces):
            best = (value, sum(used))
            return
        piece = pieces[index]
        for room in set(rooms):
            if piece <= room:
                rest = list(rooms)
                rest.remove(room)
                place(index + 1, [*rest, room - piece], shelf, used)
        for length in set(shelf):
            if piece <= length - problem.per_spool_mm:
                rest = list(shelf)
                rest.remove(length)
                place(index + 1, [*rooms, length - problem.per_spool_mm - piece], rest, used)
        for k, (length, _, available) in enumerate(kinds):
            if piece <= length - problem.per_spool_mm and (available is None or used[k] < available):
                more = [n + (i == k) for i, n in enumerate(used)]
                place(index + 1, [*rooms, length - problem.per_spool_mm - piece], shelf, more)

    place(0, [], [remnant.length_mm for remnant in problem.remnants], [0] * len(kinds))
    return best
