"""Invented sets of pieces, the same on every run."""

from __future__ import annotations

import numpy as np

from sizing.order.cutting import Piece, cut_length_mm


def uniform_pieces(
    count: int, step_mm: int, seed: int, shortest_m: float = 5.0, longest_m: float = 70.0
) -> tuple[Piece, ...]:
    """Pieces of evenly spread lengths, taken up to the step."""
    lengths = np.random.default_rng(seed).uniform(shortest_m, longest_m, count)
    return tuple(
        Piece(cut_length_mm(float(length), step_mm), f"boat {i:03d}") for i, length in enumerate(lengths)
    )


def filled_spools(spools: int, pieces_each: int, spool_mm: int, step_mm: int, seed: int) -> tuple[Piece, ...]:
    """Pieces made by cutting up full spools without any offcut: the optimum is known to be `spools`."""
    rng = np.random.default_rng(seed)
    pieces: list[Piece] = []
    for spool in range(spools):
        shares = np.floor(rng.dirichlet(np.full(pieces_each, 6.0)) * (spool_mm // step_mm)).astype(int)
        shares = np.maximum(shares, 1)
        shares[shares.argmax()] += spool_mm // step_mm - shares.sum()
        pieces += [
            Piece(int(share) * step_mm, f"boat {spool:03d}-{i}") for i, share in enumerate(shares.tolist())
        ]
    return tuple(pieces)
