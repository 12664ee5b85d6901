"""How plans and findings are told: in words that agree with what was found."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import numpy as np

from sitegen import build_site
from sitegen.pages.parts import finding_view
from sitegen.pages.plan import choice_words, plan_title, plan_view
from sizing.audit import audit_fleet, findings_of
from sizing.model import AdvisedColumns, MendChoice, MendPlan, PartGroup, Standing
from tests.sitegen.page_text import text_of
from tests.sitegen.result_builder import PLAIN, Run, make_run, rally_policy
from tests.sizing.audit.boats import boat, context_of, fleet_of

DIMENSIONS_COUNTED = ("count", "years", "days")


def test_a_plan_s_title_agrees_with_what_is_made() -> None:
    def title(choice: MendChoice, *groups: PartGroup, cones: int = 0, leaves: tuple[str, ...] = ()) -> str:
        return plan_title(MendPlan(0, choice, groups, cones, 1.0, "", (), leaves), computed=True)

    assert title("re-rig", "cone line") == "New rope under the cones [she] has"
    assert title("re-rig", "cones", "cone line", cones=157) == "New rope with new cones on it"
    assert title("re-rig", "lead line", "bridle") == "New lead line and new bridle"
    assert title("extend", "cones", "extension", cones=4) == "Extend the drogue with a further section"
    assert title("extend", "cones", cones=4) == "New cones on the line [she] has"
    assert title("nothing") == "Nothing has to be made"
    assert title("nothing", leaves=("1/end-weight.mass",)) == "Nothing to make as far as is known"


def test_where_nothing_could_be_computed_nothing_is_said_to_be_needless(site: Path, run: Run) -> None:
    plan = MendPlan(0, "nothing", (), 0, 0.0, "no figures", (), ("1/drag.cone-count",))
    view = plan_view(plan, computed=False)
    assert view.choice == choice_words(plan, computed=False) == "Not known yet"
    assert view.hours == ""
    extend = MendPlan(0, "extend", ("cones", "extension"), 4, 2.0, "", (), ())
    assert plan_view(extend, computed=True).parts == "cones, a further section of line"


def test_a_share_is_not_told_over_in_per_cent_of_itself() -> None:
    """150 % allowed and 169 % found is 19 points over and 12 per cent over: the two figures say enough."""
    fleet = fleet_of(boat(cone_count="250"))
    views = {f.check.id: finding_view(f) for f in findings_of(audit_fleet(context_of(fleet)), fleet, 0)}
    assert views["drag.oversize"].required is not None
    assert views["drag.oversize"].margin == ""
    assert views["drag.cone-count"].margin.endswith("to spare")


def test_nobody_has_so_many_per_cent_of_bags_years_or_days_to_spare() -> None:
    fleet = fleet_of(boat())
    found = [f for f in findings_of(audit_fleet(context_of(fleet)), fleet, 0) if f.margin_percent is not None]
    counted = {f.check.id: finding_view(f).margin for f in found if f.check.dimension in DIMENSIONS_COUNTED}
    assert {"condition.age", "condition.inspected", "stowage.weight"} <= set(counted)
    assert {check for check, margin in counted.items() if margin} == {"drag.cone-count"}


def test_where_the_last_cone_is_tied_is_rounded_to_the_nearest(site: Path) -> None:
    """It stood there as 0.7 m: a place is no need, and rounded up it is another place."""
    text = next((site / "boats").glob("002-*.html")).read_text(encoding="utf-8")
    assert "The last cone is tied 0.61 m (2 ft) from the end." in text


def test_every_open_finding_has_something_to_do(site: Path) -> None:
    """By its own sentence, or by what to do beside it; what the order settles stands under its job."""
    text = (next((site / "boats").glob("003-*.html"))).read_text(encoding="utf-8")
    articles = re.findall(r'<article class="dm-finding.*?</article>', text, re.DOTALL)
    assert articles
    for article in articles:
        assert re.search(r"<strong>Do:</strong> \S|You (?:or a surveyor )?can \S", article)
    settled = re.search(r"it settles these:(.*?)</ul>", text, re.DOTALL)
    assert settled
    assert len(re.findall(r'<li id="check-', settled[1])) >= 5
    assert "You can" not in settled[1], "nobody measures what is to be thrown away"


def test_a_limit_is_told_as_a_limit_and_a_need_as_a_need() -> None:
    """A drogue too old by a fifth is not "20 % short" of its age."""
    aged = {"made_year": "2009", "line_state": "worn"}
    fleet = fleet_of(boat(**aged, bridle_leg_length="6 m"))
    results = audit_fleet(context_of(fleet))
    views = {f.check.id: finding_view(f) for f in findings_of(results, fleet, 0)}
    age, leg = views["condition.age"], views["bridle.leg-length"]
    assert (age.standing, age.at_most) == ("short", True)
    assert re.fullmatch(r"\d+ % over", age.margin)
    assert (leg.standing, leg.at_most) == ("short", False)
    assert re.fullmatch(r"\d+ % short", leg.margin)


def test_a_kind_of_check_is_not_clear_while_an_advised_limit_is_not_reached(tmp_path: Path) -> None:
    """Her own page counts it among what is recommended and open; so does the table of the fleet."""
    run = make_run([{**PLAIN, "entry_no": "A17"}], rally_policy())
    place = next(at for at, c in enumerate(run.result.checks) if c.check.id == "attachment.load")
    check = run.result.checks[place]

    def said(standing: Standing, folder: Path) -> str:
        limits = AdvisedColumns(1.2 * check.required, np.array([standing], dtype=np.int8))
        checks = list(run.result.checks)
        met = np.array([Standing.MEETS], dtype=np.int8)
        checks[place] = replace(check, standing=met, found=1.1 * check.required, advised=limits)
        for at, other in enumerate(checks):
            if other.check.family == "attachment" and at != place:
                checks[at] = replace(other, standing=met)
        build_site(replace(run.result, checks=tuple(checks)), run.policy, run.catalogue, folder)
        return str(re.findall(r"strong point (\d \d \d)", text_of(folder / "index.html"))[0])

    assert said(Standing.MEETS, tmp_path / "reached") == "0 0 1"
    assert said(Standing.SHORT, tmp_path / "missed") == "0 1 0"
    page = text_of(next((tmp_path / "reached" / "boats").glob("*.html")))
    shown, _, workings = page.partition("How was this worked out?")
    # In plain words where it is told what is shown; how it is known stands in the workings.
    assert "It is what we advise, too." in shown
    assert "varied simulated strikes" not in shown.partition("Shown to be enough (")[2]
    assert "which nine in ten varied simulated strikes on your gear stay below. It is reached." in workings
