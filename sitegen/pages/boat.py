"""A boat's page, in the order a skipper asks."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from typing import ClassVar, Final

from sitegen.boat_drawings import BoatDrawings, Drawing
from sitegen.boat_facts import BoatFacts
from sitegen.dates import days_words, long_date
from sitegen.pages.boat_figures import (
    AsWritten,
    JointView,
    KitRow,
    SectionRow,
    ShareRow,
    WorkingView,
    as_written_rows,
    drogue_figures,
    drogue_key,
    feel_figures,
    feel_key,
    joint_views,
    kit_rows,
    marks_of,
    particulars,
    section_rows,
    share_rows,
    working_views,
)
from sitegen.pages.boat_strike import StrikeView, ride_figures, strike_view
from sitegen.pages.changes import SinceNote
from sitegen.pages.frame import Frame, SearchEntry
from sitegen.pages.parts import BoatStanding, DateLine, Figure, FindingView, finding_view, money, shown
from sitegen.pages.plan import PlanView, plan_view
from sitegen.pages.seamanship import UseView, use_view
from sitegen.pages.to_do import ToDo, to_do
from sitegen.papers import PaperLink, boat_papers
from sitegen.plain_text import one_line, visible
from sitegen.shared_files import SharedFile, files_for
from sitegen.texts import Caution, Step, Texts
from sizing.catalogue import Catalogue
from sizing.drogue.joint_text import MEASURE_FIRST
from sizing.drogue.marks import TOLERANCE_M
from sizing.model import Finding, Standing
from sizing.policy import Policy
from sizing.redaction import redact
from sizing.units import Shown

TESTS: Final = "the United States Coast Guard tests of 1987"
MET_OF_GEAR: Final = "checks of your gear that are met"


@dataclass(frozen=True)
class WaivedView:
    """A finding set aside, by whom and until when."""

    finding: FindingView
    reason: str
    officer: str
    until: str


@dataclass(frozen=True)
class MarkRow:
    """One cone's mark."""

    section: str
    cone: int
    distance: Shown | None


@dataclass(frozen=True)
class ContentsItem:
    """One line of the page's own contents."""

    anchor: str
    title: str


@dataclass(frozen=True)
class Download:
    """A file beside the page."""

    href: str
    title: str


@dataclass(frozen=True)
class BoatPage:
    """What the boat template may use."""

    template: ClassVar[str] = "boat.html.j2"

    address: str
    entry_no: str
    boat_name: str
    design: str
    boat_type: str
    sail_no: str
    berth: str
    particulars: tuple[Figure, ...]
    range_words: tuple[str, ...]
    source_marks: str
    contents: tuple[ContentsItem, ...]
    since: SinceNote | None
    boat_standing: BoatStanding
    to_do: ToDo
    evidence_words: str
    computed: bool
    open_shalls: tuple[FindingView, ...]
    open_shoulds: tuple[FindingView, ...]
    waived: tuple[WaivedView, ...]
    met: tuple[FindingView, ...]
    not_applicable: tuple[FindingView, ...]
    dates: tuple[DateLine, ...]
    plan: PlanView | None
    settled: frozenset[str]
    told_how: frozenset[str]
    drogue_key: tuple[Figure, ...]
    drogue_drawings: tuple[Drawing, ...]
    rig_part_drawings: tuple[Drawing, ...]
    drogue_figures: tuple[Figure, ...]
    sections: tuple[SectionRow, ...]
    joints: tuple[JointView, ...]
    measure_first: str
    feel_key: tuple[Figure, ...]
    feel_figures: tuple[Figure, ...]
    feel_drawings: tuple[Drawing, ...]
    ride_figures: tuple[Figure, ...]
    ride_reason: str
    strike: StrikeView | None
    build_words: str
    thicker_words: str
    build_drawings: tuple[Drawing, ...]
    build_steps: tuple[Step, ...]
    marks: tuple[MarkRow, ...]
    marks_tolerance: Shown | None
    kit: tuple[KitRow, ...]
    cut_step: Shown | None
    use: UseView
    workings: tuple[WorkingView, ...]
    share_lines: tuple[ShareRow, ...]
    share_total: str
    ordered: bool
    as_written: tuple[AsWritten, ...]
    remarks: tuple[str, ...]
    warnings: tuple[str, ...]
    papers: tuple[PaperLink, ...]
    downloads: tuple[Download, ...]
    headline_caution: str
    cautions: tuple[Caution, ...]

    @property
    def frame(self) -> Frame:
        """The page as the theme sees it."""
        title = f"{one_line(self.boat_name)} ({one_line(self.entry_no)})"
        description = one_line(f"{self.boat_name}, entry {self.entry_no}: {self.boat_standing.words}", 200)
        return Frame(self.address, title, description, "boat", "index.html")

    def search_entries(self) -> tuple[SearchEntry, ...]:
        """Her name, and everything one may look for her by."""
        words = [f"entry {self.entry_no}", self.sail_no, self.design, self.boat_type, self.berth]
        text = ", ".join(filter(None, [*words, self.boat_standing.words]))
        keys = tuple(one_line(key, 40) for key in (self.entry_no, self.berth, self.sail_no) if key)
        return (SearchEntry(self.address, one_line(self.boat_name), one_line(text, 200), keys),)


def boat_page(
    facts: BoatFacts,
    drawings: BoatDrawings,
    policy: Policy,
    catalogue: Catalogue,
    texts: Texts,
    today: date,
    files: tuple[SharedFile, ...] = (),
) -> BoatPage:
    """Return the page of one boat. `files` are offered on every boat's page."""
    entry = facts.entry
    views = {finding.id: finding_view(finding) for finding in facts.findings}
    settled = frozenset(f.id for f in facts.findings if facts.plan and facts.plan.settles(f.id))

    def pick(level: str) -> tuple[FindingView, ...]:
        return tuple(
            views[f.id]
            for f in facts.findings
            if f.id not in settled
            and ((f.is_open and f.check.level == level) or (f.below_advised and level == "should"))
        )

    def stand(standing: Standing) -> tuple[FindingView, ...]:
        return tuple(views[f.id] for f in facts.findings if f.standing is standing and not f.below_advised)

    return BoatPage(
        address=facts.address,
        entry_no=visible(entry.entry_no),
        boat_name=visible(entry.boat_name),
        design=visible(entry.design),
        boat_type=entry.boat_type,
        sail_no=visible(entry.sail_no),
        berth=visible(entry.berth),
        particulars=particulars(entry),
        range_words=tuple(_range_words(facts)),
        source_marks=marks_of(facts),
        contents=_contents(facts),
        since=facts.since,
        boat_standing=facts.standing,
        to_do=to_do(facts, views, policy),
        evidence_words=_evidence_words(facts),
        computed=facts.computed,
        open_shalls=pick("shall"),
        open_shoulds=pick("should"),
        waived=tuple(_waived(f, views[f.id], facts) for f in facts.findings if f.standing is Standing.WAIVED),
        met=stand(Standing.MEETS),
        not_applicable=stand(Standing.NOT_APPLICABLE),
        dates=date_lines(policy, today),
        plan=None
        if facts.plan is None
        else plan_view(facts.plan, computed=facts.computed, unknown=facts.parts_not_known),
        settled=settled,
        told_how=frozenset(view.id for view in views.values() if _says_how(view)),
        drogue_key=drogue_key(facts),
        drogue_drawings=drawings.drogue,
        rig_part_drawings=drawings.rig_parts,
        drogue_figures=drogue_figures(facts, catalogue),
        sections=section_rows(facts, policy, catalogue),
        joints=joint_views(facts),
        measure_first=MEASURE_FIRST,
        feel_key=feel_key(facts),
        feel_figures=feel_figures(facts),
        feel_drawings=drawings.feel,
        ride_figures=ride_figures(facts),
        ride_reason=visible(facts.ride.reason_not_computed) if facts.ride else "",
        strike=strike_view(facts, drawings.strike),
        build_words=_build_words(facts),
        thicker_words=_thicker_words(facts),
        build_drawings=drawings.build,
        build_steps=texts.build,
        marks=tuple(
            MarkRow(f"Section {mark.section + 1}", mark.cone, shown(mark.in_section_m, "length"))
            for mark in facts.marks
        ),
        marks_tolerance=shown(TOLERANCE_M, "small_length"),
        kit=kit_rows(facts, catalogue),
        cut_step=shown(policy.order.cut_step, "small_length"),
        use=use_view(facts, drawings.use, policy, catalogue),
        workings=working_views(facts.requirement),
        share_lines=share_rows(facts),
        share_total=money(facts.share.amount, facts.share.currency),
        ordered=facts.getting.ordered,
        as_written=as_written_rows(entry),
        remarks=tuple(visible(text) for text in entry.remarks),
        warnings=tuple(visible(text) for text in entry.warnings),
        papers=boat_papers(facts),
        downloads=_downloads(facts, files, policy),
        headline_caution=texts.headline_caution,
        cautions=texts.cautions,
    )


def date_lines(policy: Policy, today: date) -> tuple[DateLine, ...]:
    """Return the rally's dates in order, departure last."""
    lines = [(m.due, visible(m.name)) for m in policy.rally.milestones]
    if policy.rally.departure is not None:
        lines.append((policy.rally.departure, "Departure"))
    return tuple(DateLine(name, long_date(due), days_words(due, today)) for due, name in sorted(lines))


def _says_how(view: FindingView) -> bool:
    """Whether its sentence tells already what to do about it."""
    return view.remedy.removesuffix(".").casefold() in view.sentence.casefold()


def _evidence_words(facts: BoatFacts) -> str:
    """What the checks met rest on, and a structure that nobody looked at where the rally does not ask."""
    words = []
    if facts.met_on_word:
        words.append(f"{_on_word(facts.met_on_word, facts.met)} on your word alone.")
    structure = next(f for f in facts.findings if f.check.id == "attachment.structure")
    if structure.is_open and structure.check.level == "should":
        words.append("The structure behind your strong points is not vouched for.")
    return " ".join(words)


def _on_word(count: int, met: int) -> str:
    if count == met:
        return "The one check of your gear that is met rests" if met == 1 else f"All {met} {MET_OF_GEAR} rest"
    return f"{count} of the {met} {MET_OF_GEAR} {'rests' if count == 1 else 'rest'}"


def _range_words(facts: BoatFacts) -> Iterator[str]:
    """What the source does not cover of her; nothing where it covers her."""
    if facts.requirement.range_mark:
        side = "lighter" if facts.requirement.range_mark < 0 else "heavier"
        yield (
            f"Your boat is {side} than the boats of {TESTS} (7,500 to 60,000 lb, 3,402 to 27,216 kg). "
            "Your figures are stretched from theirs: take more care with them."
        )
    if facts.requirement.hull_mark:
        yield (
            f"T{TESTS[1:]} had sailing monohulls alone. Your boat is a {facts.entry.boat_type}, "
            "and for such a boat no figures are published. Yours are those of a monohull of your weight: "
            "have a naval architect look at them."
        )


def _contents(facts: BoatFacts) -> tuple[ContentsItem, ...]:
    items = [("standing", "To do")]
    items += [("use", "Use it")]
    if facts.computed:
        items += [("drogue", "My drogue"), ("build", "Build"), ("feel", "Loads")]
    items += [("short", "Checks"), ("workings", "Workings"), ("downloads", "Files")]
    return tuple(ContentsItem(*item) for item in items)


def _waived(finding: Finding, view: FindingView, facts: BoatFacts) -> WaivedView:
    for waiver in facts.waivers:
        if waiver.check == finding.check.id:
            officer = visible(redact(waiver.officer))
            return WaivedView(view, visible(waiver.reason), officer, long_date(waiver.until))
    return WaivedView(view, "", "", "")


def _build_words(facts: BoatFacts) -> str:
    hours = facts.figures.get("labour_hours")
    whole = f"A whole drogue for your boat takes about {hours:.0f} hours once practised. " if hours else ""
    return whole + "The steps are the same for a part of it."


def _thicker_words(facts: BoatFacts) -> str:
    """What of her rope is thicker than she needs, and why; "" where nothing is."""
    if not facts.thicker:
        return ""
    return (
        f"Some of your rope comes thicker than you need: {facts.thicker}. "
        "This makes the whole order cheaper. Your boat was checked again with it: nothing that was enough "
        "falls short. Your kit and your build sheet tell the thickness that you get. The table of what you "
        "need tells the least."
    )


def _downloads(facts: BoatFacts, files: tuple[SharedFile, ...], policy: Policy) -> tuple[Download, ...]:
    cones = facts.cone_sizes
    marks = (Download(f"{facts.slug}-marks.csv", "Marks for the cones (CSV)"),) if facts.marks else ()
    return (
        *marks,
        *(Download(f"../{file.address}", file.title) for file in files_for(files, cones, policy.sizing)),
    )
