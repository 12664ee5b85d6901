"""How her use is told on her page: gear that is not ordered, cautions where the danger is."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest

from sitegen.boat_drawings import boat_drawings
from sitegen.boat_facts import Gatherer
from sitegen.pages.seamanship import use_view
from sizing.model import MendPlan
from sizing.order.pieces import pieces_for
from tests.sitegen.result_builder import Run


def test_gear_to_get_it_back_that_is_not_ordered_is_said_to_be_hers_to_find(run: Run) -> None:
    gatherer = Gatherer(run.result, run.policy, run.catalogue)
    result = run.result
    for row in (row for row in range(len(gatherer)) if gatherer.computed(row)):
        facts = gatherer.facts(row)
        plan = MendPlan(row, "fittings only", ("recovery gear",), 0, 1.0, "")
        whole = pieces_for(plan, result.intake.fleet, result.requirements, run.policy, run.catalogue)
        kit = tuple(piece for piece in whole if piece.item != "TWINE-WHIP")  # for the splice ashore
        for pieces, note in (((), "This is not in the order"), (kit[:1], "Not all of this is"), (kit, "")):
            hers = replace(facts, pieces=pieces)
            view = use_view(hers, boat_drawings(facts, run.policy).use, run.policy, run.catalogue)
            assert view is not None
            (stage,) = (stage for stage in view.stages if stage.title == "Get it back")
            assert len(stage.gear) == len(kit)
            assert sum(item.in_kit for item in stage.gear) == len(pieces)
            said = [said for said in stage.gear_notes if "order" in said]
            assert [text.startswith(note) for text in said] == [True] * bool(note)
        blocks = "snatch block" if "sailing" in facts.entry.boat_type else "pair of double blocks"
        assert any(item.name.startswith(blocks) for item in stage.gear)


@pytest.mark.parametrize("row", [0, 4])
def test_cautions_stand_where_the_danger_is_with_figures_and_without(site: Path, run: Run, row: int) -> None:
    """Row 4 could not be computed: she is told when not to, and where hands are lost, all the same."""
    facts = Gatherer(run.result, run.policy, run.catalogue).facts(row)
    page = (site / facts.address).read_text(encoding="utf-8")
    parts = dict(re.findall(r'<section id="(\w+)"(.*?)(?=<section id=|</article>)', page, re.DOTALL))
    for section, said in (
        ("use", ("The skipper decides", "Lee shore? Never.", "Lines take fingers", "rope overboard")),
        ("short", ("need a surveyor or naval architect", "The rules of the event")),
    ):
        for words in said:
            assert words in parts[section], (section, words)
    caution = "A figure here is no proof of a laminate"
    assert (caution in parts.get("feel", "")) == facts.computed
    assert ("figures are not worked out" in parts["use"]) != facts.computed


def test_hours_are_told_whole(site: Path, run: Run) -> None:
    """Seen: “about 57.8 hours”."""
    page = (site / Gatherer(run.result, run.policy, run.catalogue).facts(0).address).read_text(
        encoding="utf-8"
    )
    assert re.search(r"takes about \d+ hours once practised", page)
