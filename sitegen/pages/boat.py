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
    StrikeView,
    WorkingView,
    as_written_rows,
    drift_of,
    drogue_figures,
    feel_figures,
    joint_views,
    kit_rows,
    marks_of,
    particulars,
    ride_figures,
    section_rows,
    strike_view,
    working_views,
)
from sitegen.pages.changes import SinceNote
from sitegen.pages.frame import Frame, SearchEntry
from sitegen.pages.parts import BoatStanding, DateLine, Figure, FindingView, finding_view, shown
from sitegen.pages.plan import PlanView, plan_view
from sitegen.pages.seamanship import UseView, use_view
from sitegen.plain_text import one_line, visible
from sitegen.redaction import redact
from sitegen.shared_files import SharedFile, files_for
from sitegen.texts import Step, Texts
from sizing.catalogue import Catalogue
from sizing.drogue.drift_text import DriftText
from sizing.drogue.joint_text import MEASURE_FIRST
from sizing.drogue.marks import TOLERANCE_M
from sizing.model import Finding, Standing
from sizing.policy import Policy
from sizing.units import Shown

MET_OF_GEAR: Final = "checks of her gear that are met"
VERDICTS: Final = {
    "open-should": "No shall is open on what was entered. Something recommended is still open, see below. "
    "That does not say that she is safe.",
    "nothing-open": "No check is open on what was entered. That does not say that she is safe.",
    "not-computed": "",
}


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
    verdict_words: str
    evidence_words: str
    reason_not_computed: str
    computed: bool
    open_shalls: tuple[FindingView, ...]
    open_shoulds: tuple[FindingView, ...]
    waived: tuple[WaivedView, ...]
    met: tuple[FindingView, ...]
    not_applicable: tuple[FindingView, ...]
    due_words: str
    dates: tuple[DateLine, ...]
    plan: PlanView | None
    no_part_closes: frozenset[str]
    settled: frozenset[str]
    drogue_drawings: tuple[Drawing, ...]
    rig_part_drawings: tuple[Drawing, ...]
    drogue_figures: tuple[Figure, ...]
    sections: tuple[SectionRow, ...]
    joints: tuple[JointView, ...]
    measure_first: str
    feel_figures: tuple[Figure, ...]
    drift: DriftText | None
    feel_drawings: tuple[Drawing, ...]
    ride_figures: tuple[Figure, ...]
    ride_reason: str
    strike: StrikeView | None
    build_words: str
    build_drawings: tuple[Drawing, ...]
    build_steps: tuple[Step, ...]
    marks: tuple[MarkRow, ...]
    marks_tolerance: Shown | None
    kit: tuple[KitRow, ...]
    cut_step: Shown | None
    use: UseView | None
    workings: tuple[WorkingView, ...]
    as_written: tuple[AsWritten, ...]
    remarks: tuple[str, ...]
    warnings: tuple[str, ...]
    downloads: tuple[Download, ...]
    headline_caution: str
    cautions: tuple[str, ...]

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

    def pick(level: str) -> tuple[FindingView, ...]:
        return tuple(
            views[f.id]
            for f in facts.findings
            if (f.is_open and f.check.level == level) or (f.below_advised and level == "should")
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
        verdict_words=_verdict(facts),
        evidence_words=_evidence_words(facts),
        reason_not_computed=visible(facts.requirement.reason_not_computed),
        computed=facts.computed,
        open_shalls=pick("shall"),
        open_shoulds=pick("should"),
        waived=tuple(_waived(f, views[f.id], facts) for f in facts.findings if f.standing is Standing.WAIVED),
        met=stand(Standing.MEETS),
        not_applicable=stand(Standing.NOT_APPLICABLE),
        due_words=_due_words(facts, policy, today),
        dates=date_lines(policy, today),
        plan=None if facts.plan is None else plan_view(facts.plan, computed=facts.computed),
        no_part_closes=frozenset(
            f.id
            for f in facts.findings
            if facts.plan and f.id in facts.plan.leaves and f.standing is not Standing.UNPROVEN
        ),
        settled=frozenset(f.id for f in facts.findings if facts.plan and facts.plan.settles(f.id)),
        drogue_drawings=drawings.drogue,
        rig_part_drawings=drawings.rig_parts,
        drogue_figures=drogue_figures(facts, catalogue),
        sections=section_rows(facts, policy, catalogue),
        joints=joint_views(facts),
        measure_first=MEASURE_FIRST,
        feel_figures=feel_figures(facts),
        drift=drift_of(facts),
        feel_drawings=drawings.feel,
        ride_figures=ride_figures(facts),
        ride_reason=visible(facts.ride.reason_not_computed) if facts.ride else "",
        strike=strike_view(facts, drawings.strike),
        build_words=_build_words(facts),
        build_drawings=drawings.build,
        build_steps=texts.build,
        marks=tuple(
            MarkRow(f"Section {mark.section + 1}", mark.cone, shown(mark.in_section_m, "length"))
            for mark in facts.marks
        ),
        marks_tolerance=shown(TOLERANCE_M, "small_length"),
        kit=kit_rows(facts, catalogue),
        cut_step=shown(policy.order.cut_step, "small_length"),
        use=use_view(facts, drawings.use, catalogue),
        workings=working_views(facts.requirement),
        as_written=as_written_rows(entry),
        remarks=tuple(visible(text) for text in entry.remarks),
        warnings=tuple(visible(text) for text in entry.warnings),
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


def _verdict(facts: BoatFacts) -> str:
    if facts.standing.key != "open-shall":
        return VERDICTS[facts.standing.key]
    shalls = [f.standing for f in facts.findings if f.is_open and f.check.level == "shall"]
    counts = [(shalls.count(s), s.words) for s in (Standing.SHORT, Standing.ABSENT, Standing.UNPROVEN)]
    by_standing = ", ".join(f"{count} {word}" for count, word in counts if count)
    settled = sum(
        f.check.level == "shall" and f.is_open and bool(facts.plan and facts.plan.settles(f.id))
        for f in facts.findings
    )
    if settled:
        those = f"{settled} of them" if settled < len(shalls) else "it" if settled == 1 else "all of them"
        by_standing += f"; the parts of her plan settle {those}, once fitted and seen"
    one = "The rally requires this, and it is not yet met or not yet shown"
    many = "The rally requires these, and they are not yet met or not yet shown"
    return f"{one if len(shalls) == 1 else many} ({by_standing}):"


def _evidence_words(facts: BoatFacts) -> str:
    """What the checks met rest on, and a structure that nobody looked at where the rally does not ask."""
    words = []
    if facts.met_on_word:
        words.append(f"{_on_word(facts.met_on_word, facts.met)} on her skipper's word alone.")
    structure = next(f for f in facts.findings if f.check.id == "attachment.structure")
    if structure.is_open and structure.check.level == "should":
        words.append("The structure behind her attachments is not vouched for.")
    return " ".join(words)


def _on_word(count: int, met: int) -> str:
    if count == met:
        return "The one check of her gear that is met rests" if met == 1 else f"All {met} {MET_OF_GEAR} rest"
    return f"{count} of the {met} {MET_OF_GEAR} {'rests' if count == 1 else 'rest'}"


def _due_words(facts: BoatFacts, policy: Policy, today: date) -> str:
    """By when: the first day that matters to her, and departure; nothing where nothing is open."""
    if not facts.standing.open_shalls and not facts.standing.open_shoulds:
        return ""
    words = []
    first, departure = facts.first_due, policy.rally.departure
    if first is not None and first.day is not None and first.day != departure:
        name = f" ({visible(first.milestone)})" if first.milestone else ""
        over = "The first day for it is over:" if first.is_over(today) else "Due first by"
        words.append(f"{over} {long_date(first.day)}{name}.")
    if departure is None:
        words.append("The rally has not named a date of departure: close every open shall before you leave.")
    elif departure < today:
        words.append(f"Departure was on {long_date(departure)}.")
    else:
        all_of_it = "All of it is to be closed" if words else "Everything open is to be closed"
        if not facts.standing.open_shalls:
            all_of_it = "What is recommended is best done"
        words.append(f"{all_of_it} before departure on {long_date(departure)}.")
    return " ".join(words)


def _range_words(facts: BoatFacts) -> Iterator[str]:
    """What the source does not cover of her; nothing where it covers her."""
    if facts.requirement.range_mark:
        side = "lighter" if facts.requirement.range_mark < 0 else "heavier"
        yield (
            f"She is {side} than the boats the rules were published for "
            "(7,500 to 60,000 lb, 3,402 to 27,216 kg). Her figures extend the same line and deserve more "
            "care."
        )
    if facts.requirement.hull_mark:
        yield (
            "The rules were published for sailing monohulls, fin keels in the main, and nobody has published "
            f"any for a {facts.entry.boat_type}. Figures marked so are what a monohull of her displacement "
            "would get: have a naval architect look at them."
        )


def _contents(facts: BoatFacts) -> tuple[ContentsItem, ...]:
    items = [("standing", "Am I all right?"), ("short", "What is short?")]
    if facts.computed:
        items += [("drogue", "My drogue"), ("feel", "Loads"), ("build", "Build or mend"), ("use", "Use it")]
    else:
        items += [("use", "Cautions")]
    items += [("workings", "Workings"), ("downloads", "Take away")]
    return tuple(ContentsItem(*item) for item in items)


def _waived(finding: Finding, view: FindingView, facts: BoatFacts) -> WaivedView:
    for waiver in facts.waivers:
        if waiver.check == finding.check.id:
            officer = visible(redact(waiver.officer))
            return WaivedView(view, visible(waiver.reason), officer, long_date(waiver.until))
    return WaivedView(view, "", "", "")


def _build_words(facts: BoatFacts) -> str:
    hours = shown(facts.figures.get("labour_hours"), "hours")
    whole = (
        f"A whole drogue for her takes about {hours.metric.replace(' h', ' hours')} once practised. "
        if hours
        else ""
    )
    return whole + "What she has to make is in the plan above; the steps are the same for a part of it."


def _downloads(facts: BoatFacts, files: tuple[SharedFile, ...], policy: Policy) -> tuple[Download, ...]:
    cones = facts.cone_sizes
    marks = (Download(f"{facts.slug}-marks.csv", "Marks for the cones (CSV)"),) if facts.marks else ()
    return (
        *marks,
        *(Download(f"../{file.address}", file.title) for file in files_for(files, cones, policy.sizing)),
    )
