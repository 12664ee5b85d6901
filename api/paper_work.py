"""What a second process writes: the tables, the order, and all papers."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from api.parts import ORDER, PAPERS, TABLES
from sizing.catalogue import Catalogue
from sizing.model import MusterResult
from sizing.order.cards.files import write_cards
from sizing.order.files import write_order
from sizing.order.loft.cloth_files import pattern_files
from sizing.order.loft.files import write_loft
from sizing.order.prices import PriceBook
from sizing.papers.files import write_papers
from sizing.policy import Policy
from sizing.tables import write_tables

__all__ = ["come_in", "pattern_files", "write_paper_work"]


def come_in() -> None:
    """Nothing: asked for so that what stands above is imported before there is work."""


def write_paper_work(
    result: MusterResult,
    policy: Policy,
    catalogue: Catalogue,
    prices: PriceBook | None,
    make: frozenset[str],
    stage: Path,
    pages: Sequence[str] | None,
    stems: Sequence[str],
) -> None:
    """Write into `stage`, whose folder of tables exists, what is asked for.

    `pages` are the full addresses of the boats' pages by row, for the code on their bags, if they are known;
    `stems` begin the names of their own papers, by row.
    """
    if TABLES in make:
        write_tables(result, catalogue, stage / "tables")
    if make & {ORDER, PAPERS}:
        (stage / "order").mkdir()
        write_order(result, policy, catalogue, prices, stage / "order")
    if PAPERS in make:
        for folder in ("loft", "cards"):
            (stage / "order" / folder).mkdir()
        address = pages.__getitem__ if pages is not None else None
        write_loft(result, policy, catalogue, stage / "order" / "loft", address)
        write_cards(result, policy, stage / "order" / "cards")
        (stage / "papers").mkdir(exist_ok=True)
        write_papers(result, policy, catalogue, stems, stage / "papers")
