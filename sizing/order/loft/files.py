"""Everything the sewing loft gets beside the order's tables, by name, as bytes."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from sizing.catalogue import Catalogue
from sizing.model import MusterResult
from sizing.order.kits import kits_for
from sizing.order.loft.bag import PageAddress, gather_bags
from sizing.order.loft.cloth_files import cloth_files
from sizing.order.loft.cloth_jobs import pattern_told
from sizing.order.loft.kit_papers import kit_papers
from sizing.order.loft.workshop_sheet import board_csv, workshop_csv
from sizing.order.workshop import workshop_plan
from sizing.policy import Policy
from sizing.writing import write_files


def loft_files(
    result: MusterResult, policy: Policy, catalogue: Catalogue, page_address: PageAddress | None = None
) -> Mapping[str, bytes]:
    """Return kits.pdf, kits-letter.pdf, workshop's tables, cloth.csv, tapes.csv, and each cloth's drawings.

    `page_address` gives the full address of a boat's page by her row, for the code on her bag; without it
    the label says so. Of a boat her entry number and her name appear, nothing else. The same result gives
    the same bytes.
    """
    fleet = result.intake.fleet
    return {
        **kit_files(result, policy, catalogue, page_address),
        **cloth_files(result.order, fleet, policy, catalogue, pattern_told(policy, result.today)),
    }


def kit_files(
    result: MusterResult, policy: Policy, catalogue: Catalogue, page_address: PageAddress | None = None
) -> Mapping[str, bytes]:
    """Return kits.pdf, kits-letter.pdf and the workshop's tables alone, of what `loft_files` returns."""
    order, fleet, needs = result.order, result.intake.fleet, result.made
    kits = kits_for(order, fleet, needs, result.plans, policy)
    workshop = result.workshop or workshop_plan(kits, policy)
    bags = gather_bags(order, kits, fleet, needs, result.plans, policy, catalogue, page_address)
    return {
        **kit_papers(bags, workshop, policy),
        "workshop.csv": workshop_csv(workshop),
        "workshop-board.csv": board_csv(workshop, {kit.row: kit.entry_no for kit in kits}),
    }


def write_loft(
    result: MusterResult,
    policy: Policy,
    catalogue: Catalogue,
    folder: Path,
    page_address: PageAddress | None = None,
) -> None:
    """Write the loft's files into `folder`, which exists; OutputError if one cannot be written."""
    write_files(folder, loft_files(result, policy, catalogue, page_address))
