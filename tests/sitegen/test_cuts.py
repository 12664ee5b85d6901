"""Cut lists: every piece of the order stands on one, and every list can be reached."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest

from sitegen import build_site
from sitegen.boat_facts import Gatherer
from sitegen.pages.cuts import cuts_pages
from sitegen.pages.order import order_page
from sizing.model import CutPiece, CutSpool, CutSummary, MusterResult
from sizing.units import show
from tests.sitegen.result_builder import Run, make_run
from tests.sizing.revision.runs import demo, demo_rules


def cut(run: Run, *pieces: CutPiece, item: str = "TAPE-16") -> MusterResult:
    """The run with one spool of `pieces` as all that is cut."""
    spool = CutSpool(item, 1, 100.0, pieces, 5.0)
    summary = CutSummary(item, len(pieces), 1, None, None, True, 0.0, 5.0, "by hand")
    return replace(run.result, order=replace(run.result.order, spools=(spool,), cutting=(summary,)))


@pytest.fixture(scope="module")
def run() -> Run:
    return make_run()


def test_pieces_alike_are_told_once_with_their_number_in_the_order_of_cutting(run: Run) -> None:
    tape, other = CutPiece(0, "cone tapes", 0.762), CutPiece(1, "cone tapes", 0.762)
    longer = CutPiece(0, "cone tapes", 0.8)
    result = cut(run, tape, tape, tape, other, longer, tape)
    (page,) = cuts_pages(Gatherer(result, run.policy, run.catalogue))
    (spool,) = page.spools
    names = list(run.result.intake.fleet.text["boat_name"])
    assert [(c.count, c.length, c.boat) for c in spool.cuts] == [
        (3, show(0.762, "length"), names[0]),
        (1, show(0.762, "length"), names[1]),
        (1, show(0.8, "length"), names[0]),
        (1, show(0.762, "length"), names[0]),
    ]
    assert page.words == "1 spool, 6 pieces"


def test_no_piece_of_the_demo_is_lost_and_every_list_is_linked_from_the_order() -> None:
    rules = demo_rules()
    gatherer = Gatherer(demo(), rules.policy, rules.catalogue)
    order = demo().order
    pages = cuts_pages(gatherer)
    told = sum(c.count for page in pages for spool in page.spools for c in spool.cuts)
    assert told == sum(len(spool.pieces) for spool in order.spools) > 1000
    assert sum(len(page.spools) for page in pages) == len(order.spools)
    linked = [row.href for row in order_page(gatherer).cutting]
    assert sorted(linked) == sorted(page.address for page in pages)


def test_the_list_tells_spool_pieces_boat_and_rest(run: Run, tmp_path: Path) -> None:
    result = cut(run, *[CutPiece(0, "<b>tapes</b>", 0.762)] * 4, item="<TAPE>/..")
    build_site(result, run.policy, run.catalogue, tmp_path / "site")
    (path,) = (tmp_path / "site" / "cuts").glob("*.html")
    text = re.sub(r"\s+", " ", re.sub(r"<[^>]*>", " ", path.read_text(encoding="utf-8")))
    assert "Spool 1 of 100 m" in text
    assert "4 × 0.762 m" in text
    assert "rest 5 m" in text
    assert "&lt;b&gt;tapes&lt;/b&gt;" in text
