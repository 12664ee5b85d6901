"""The sea cards of a fleet as PDF files, for A4 and for US Letter."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Final

from sizing.model import MusterResult
from sizing.order.cards.card import cards_of
from sizing.order.cards.sides import sides
from sizing.order.loft.kit_papers import PAPER_NAMES
from sizing.order.loft.paint import pdf_bytes
from sizing.policy import Policy
from sizing.writing import write_files

CARDS_A_FILE: Final = 200
"""Most cards in one file; a larger fleet has several, numbered."""


def card_files(result: MusterResult, policy: Policy) -> Mapping[str, bytes]:
    """Return sea-cards.pdf and sea-cards-letter.pdf, two pages for each boat that has figures; else nothing.

    Of a boat her entry number and her name appear, nothing else of hers that is private. The same result
    gives the same bytes.
    """
    cards = tuple(cards_of(result, policy))
    parts = [cards[start : start + CARDS_A_FILE] for start in range(0, len(cards), CARDS_A_FILE)]
    files = {}
    for paper, suffix in PAPER_NAMES.items():
        for at, part in enumerate(parts, 1):
            pages = [page for card in part for page in sides(card, paper)]
            name = f"sea-cards{suffix}{f'-{at}' if len(parts) > 1 else ''}.pdf"
            files[name] = pdf_bytes(pages, f"Sea cards of {policy.rally.name}")
    return files


def write_cards(result: MusterResult, policy: Policy, folder: Path) -> None:
    """Write the cards into `folder`, which exists; OutputError if one cannot be written."""
    write_files(folder, card_files(result, policy))
