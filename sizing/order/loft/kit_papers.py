"""The papers of all bags as PDF files: the workshop first, then each boat's own pages."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final

from sizing.model import WorkshopPlan
from sizing.order.cloth.tiles import Paper
from sizing.order.loft.bag import Bag
from sizing.order.loft.bag_label import put_label
from sizing.order.loft.build_sheet import put_build_sheet, put_check_list
from sizing.order.loft.craft_cards import craft_cards
from sizing.order.loft.ink import Page
from sizing.order.loft.marks_pages import put_marks
from sizing.order.loft.page import Flow
from sizing.order.loft.paint import pdf_bytes
from sizing.order.loft.pick_list import put_cut_list, put_pick_list
from sizing.order.loft.workshop_sheet import put_workshop
from sizing.policy import Policy

BAGS_A_FILE: Final = 200
"""Most bags in one file; a larger fleet has several, numbered."""

PAPER_NAMES: Final[Mapping[Paper, str]] = {"A4": "", "Letter": "-letter"}


def kit_papers(bags: Sequence[Bag], workshop: WorkshopPlan, policy: Policy) -> Mapping[str, bytes]:
    """Return kits.pdf for A4 and kits-letter.pdf for US Letter; several files of each for a large fleet."""
    files: dict[str, bytes] = {}
    parts = [bags[start : start + BAGS_A_FILE] for start in range(0, len(bags), BAGS_A_FILE)] or [[]]
    for paper, suffix in PAPER_NAMES.items():
        names = [f"kits{suffix}{f'-{at + 1}' if len(parts) > 1 else ''}.pdf" for at in range(len(parts))]
        flows = [[[_boat(bag, paper), *craft_cards(bag, paper)] for bag in part] for part in parts]
        blank = _front(bags, ["" for _ in bags], workshop, policy, paper)
        sheets, starts = _numbers(flows, len(blank.pages))
        front = _front(bags, sheets, workshop, policy, paper)
        for at, (name, part) in enumerate(zip(names, flows, strict=True)):
            pages: list[Page] = front.finished(1) if at == 0 else []
            for bag_flows, start in zip(part, starts[at], strict=True):
                first = start
                for flow in bag_flows:
                    pages += flow.finished(first)
                    first += len(flow.pages)
            files[name] = pdf_bytes(pages, f"Kits of {policy.rally.name}")
    return files


def _numbers(flows: Sequence[Sequence[Sequence[Flow]]], front: int) -> tuple[list[str], list[list[int]]]:
    """Where each bag's papers begin: in words for the list of bags, and as sheet numbers by file."""
    words, starts = [], []
    for at, part in enumerate(flows):
        sheet = 1 + (front if at == 0 else 0)
        own = []
        for bag_flows in part:
            own.append(sheet)
            words.append(f"{at + 1}: {sheet}" if len(flows) > 1 else str(sheet))
            sheet += sum(len(flow.pages) for flow in bag_flows)
        starts.append(own)
    return words, starts


def _front(
    bags: Sequence[Bag], sheets: Sequence[str], workshop: WorkshopPlan, policy: Policy, paper: Paper
) -> Flow:
    flow = Flow(paper, "Workshop and list of bags", _foot(policy))
    put_workshop(flow, workshop, bags, sheets, policy)
    return flow


def _boat(bag: Bag, paper: Paper) -> Flow:
    name = f", {bag.kit.boat_name}" if bag.kit.boat_name.strip() else ""
    flow = Flow(paper, f"Entry {bag.kit.entry_no}{name}", _foot(bag.policy))
    put_label(flow, bag)
    put_pick_list(flow, bag)
    put_cut_list(flow, bag)
    put_marks(flow, bag)
    put_build_sheet(flow, bag)
    flow.together(lambda page: put_check_list(page, bag))
    return flow


def _foot(policy: Policy) -> str:
    return f"{policy.rally.name}. Advice for planning and checking gear, not a certificate."
