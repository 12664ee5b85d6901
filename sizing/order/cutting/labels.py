"""Names on every cut: which spool or remnant, and whose piece."""

from __future__ import annotations

from collections import deque

from sizing.order.cutting.grid import Bundle, Instance, Packing
from sizing.order.cutting.plan import Cut, CutSpool
from sizing.order.cutting.problem import CutProblem, Piece, Remnant


class _Waiting:
    """Pieces of each length that still want a spool, in the order of their labels."""

    def __init__(self, pieces: list[Piece]) -> None:
        self._queues: dict[int, deque[tuple[str, int]]] = {}
        for piece in sorted(pieces, key=lambda piece: (piece.length_mm, piece.label)):
            self._queues.setdefault(piece.length_mm, deque()).append((piece.label, piece.quantity))

    def take(self, length_mm: int, quantity: int) -> list[Cut]:
        """The next so many pieces of a length."""
        queue, cuts = self._queues[length_mm], dict[str, int]()
        while quantity > 0:
            label, left = queue.popleft()
            n = min(left, quantity)
            cuts[label] = cuts.get(label, 0) + n
            quantity -= n
            if left > n:
                queue.appendleft((label, left - n))
        return [Cut(length_mm, label, n) for label, n in cuts.items()]


def labelled_spools(
    problem: CutProblem, instance: Instance, pieces: list[Piece], packing: Packing
) -> tuple[CutSpool, ...]:
    """Every bin of a packing as a spool or remnant with labelled cuts; remnants first."""
    waiting = _Waiting(pieces)
    lengths = (instance.widths * instance.unit_mm - problem.per_piece_mm).tolist()
    shelf = _shelf(problem, instance)
    spools: list[CutSpool] = []
    for bundle in sorted(packing, key=lambda bundle: bundle.bin < instance.bought):
        for _ in range(bundle.times):
            if bundle.bin < instance.bought:
                kind = problem.stock[instance.stock_index[bundle.bin]]
                spools.append(_cut(problem, lengths, bundle, waiting, ("spool", kind.id, kind.length_mm)))
            else:
                remnant = shelf[bundle.bin - instance.bought].popleft()
                spools.append(
                    _cut(problem, lengths, bundle, waiting, ("remnant", remnant.id, remnant.length_mm))
                )
    return tuple(spools)


def _shelf(problem: CutProblem, instance: Instance) -> list[deque[Remnant]]:
    """Remnants of each length that is a bin of the instance, shortest length first, each in order of id."""
    least = int(instance.widths[-1]) * instance.unit_mm
    groups: dict[int, deque[Remnant]] = {}
    for remnant in sorted(problem.remnants, key=lambda remnant: (remnant.length_mm, remnant.id)):
        if remnant.length_mm - problem.per_spool_mm >= least:
            groups.setdefault(remnant.length_mm, deque()).append(remnant)
    return list(groups.values())


def _cut(
    problem: CutProblem, lengths: list[int], bundle: Bundle, waiting: _Waiting, item: tuple[str, str, int]
) -> CutSpool:
    source, name, length_mm = item
    cuts: list[Cut] = []
    taken = problem.per_spool_mm
    for length, n in zip(lengths, bundle.counts, strict=True):
        if n:
            cuts += waiting.take(length, n)
            taken += n * (length + problem.per_piece_mm)
    return CutSpool(
        source="spool" if source == "spool" else "remnant",
        id=name,
        length_mm=length_mm,
        cuts=tuple(cuts),
        offcut_mm=length_mm - taken,
    )
