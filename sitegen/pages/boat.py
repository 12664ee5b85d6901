"""A boat's page, in the order a skipper asks."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import ClassVar, Final

from sitegen.drawn import BoatDrawings, Drawing
from sitegen.pages.boat_figures import (
    AsWritten,
    KitRow,
    SectionRow,
    StrikeView,
    WorkingView,
    as_written_rows,
    drogue_figures,
    feel_figures,
    kit_rows,
    particulars,
    ride_figures,
    section_rows,
    strike_view,
    working_views,
)
from sitegen.pages.changes import ADDRESS as CHANGES
from sitegen.pages.frame import Frame, SearchEntry
from sitegen.pages.parts import (
    BoatStanding,
    DateLine,
    Figure,
    FindingView,
    days_words,
    finding_view,
    long_date,
    plural,
    shown,
)
from sitegen.plain_text import one_line, visible
from sitegen.record import BoatRecord
from sitegen.shared_files import SharedFile, files_for
from sitegen.texts import Step, Texts
from sizing.catalogue import Catalogue
from sizing.drogue.marks import TOLERANCE_M
from sizing.model import Finding, MendPlan, Standing
from sizing.policy import Policy
from sizing.units import Shown

VERDICTS: Final = {
    "open-shall": "The rally requires these, and they are not yet met or not yet shown",
    "open-should": "No shall is open on what was entered. Something recommended is still open, see below. "
    "That does not say that she is safe.",
    "nothing-open": "No check is open on what was entered. That does not say that she is safe.",
    "not-computed": "",
}
CHOICE_WORDS: Final = {
    "nothing": "Nothing has to be made",
    "fittings only": "Renew fittings only",
    "extend": "Extend the drogue with a further section",
    "re-rig": "New rope under the cones she has",
    "replace": "Make a whole new drogue",
}


@dataclass(frozen=True)
class WaivedView:
    """A finding set aside, by whom and until when."""

    finding: FindingView
    reason: str
    officer: str
    until: str


@dataclass(frozen=True)
class PlanView:
    """What is to be done for her, in words."""

    choice: str
    reason: str
    parts: str
    cones: str
    hours: Shown | None
    closes: str
    leaves: str
    materials: str
    runner_up: str


@dataclass(frozen=True)
class SinceView:
    """What changed about her since the last list, and where it is told."""

    since: str
    summary: str
    href: str


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
    range_words: str
    contents: tuple[ContentsItem, ...]
    since: SinceView | None
    boat_standing: BoatStanding
    verdict_words: str
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
    left_to_show: frozenset[str]
    closed_by_new_drogue: frozenset[str]
    drogue_drawings: tuple[Drawing, ...]
    rig_part_drawings: tuple[Drawing, ...]
    drogue_figures: tuple[Figure, ...]
    sections: tuple[SectionRow, ...]
    feel_figures: tuple[Figure, ...]
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
    use_drawings: tuple[Drawing, ...]
    launch_steps: tuple[Step, ...]
    recover_steps: tuple[Step, ...]
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
        open_words = [finding.sentence for finding in (*self.open_shalls, *self.open_shoulds)]
        text = ", ".join(
            filter(None, [f"entry {self.entry_no}", self.sail_no, self.design, self.boat_type, self.berth,
                          self.boat_standing.words, *open_words])
        )  # fmt: skip
        return (SearchEntry(self.address, one_line(self.boat_name), one_line(text, 600)),)


def boat_page(
    record: BoatRecord,
    drawings: BoatDrawings,
    policy: Policy,
    catalogue: Catalogue,
    texts: Texts,
    today: date,
    files: tuple[SharedFile, ...] = (),
) -> BoatPage:
    """Return the page of one boat. `files` are offered on every boat's page."""
    entry = record.entry
    views = {finding.id: finding_view(finding, record.at_most) for finding in record.findings}

    def pick(level: str) -> tuple[FindingView, ...]:
        return tuple(views[f.id] for f in record.findings if f.is_open and f.check.level == level)

    def stand(standing: Standing) -> tuple[FindingView, ...]:
        return tuple(views[f.id] for f in record.findings if f.standing is standing)

    return BoatPage(
        address=record.address,
        entry_no=visible(entry.entry_no),
        boat_name=visible(entry.boat_name),
        design=visible(entry.design),
        boat_type=entry.boat_type,
        sail_no=visible(entry.sail_no),
        berth=visible(entry.berth),
        particulars=particulars(entry),
        range_words=_range_words(record),
        contents=_contents(record),
        since=_since(record),
        boat_standing=record.standing,
        verdict_words=_verdict(record),
        reason_not_computed=visible(record.requirement.reason_not_computed),
        computed=record.computed,
        open_shalls=pick("shall"),
        open_shoulds=pick("should"),
        waived=tuple(
            _waived(f, views[f.id], record) for f in record.findings if f.standing is Standing.WAIVED
        ),
        met=stand(Standing.MEETS),
        not_applicable=stand(Standing.NOT_APPLICABLE),
        due_words=_due_words(policy, today),
        dates=date_lines(policy, today),
        plan=None if record.plan is None else _plan_view(record.plan),
        left_to_show=frozenset(record.plan.leaves if record.plan else ()),
        closed_by_new_drogue=frozenset(
            record.plan.closes if record.plan and record.plan.choice == "replace" else ()
        ),
        drogue_drawings=drawings.drogue,
        rig_part_drawings=drawings.rig_parts,
        drogue_figures=drogue_figures(record, catalogue),
        sections=section_rows(record, catalogue),
        feel_figures=feel_figures(record),
        feel_drawings=drawings.feel,
        ride_figures=ride_figures(record),
        ride_reason=visible(record.ride.reason_not_computed) if record.ride else "",
        strike=strike_view(record, drawings.strike),
        build_words=_build_words(record),
        build_drawings=drawings.build,
        build_steps=texts.build,
        marks=tuple(
            MarkRow(f"Section {mark.section + 1}", mark.cone, shown(mark.in_section_m, "length"))
            for mark in record.marks
        ),
        marks_tolerance=shown(TOLERANCE_M, "small_length"),
        kit=kit_rows(record),
        use_drawings=drawings.use,
        launch_steps=texts.launch,
        recover_steps=texts.recover,
        workings=working_views(record.requirement),
        as_written=as_written_rows(entry),
        remarks=tuple(visible(text) for text in entry.remarks),
        warnings=tuple(visible(text) for text in entry.warnings),
        downloads=_downloads(record, files),
        headline_caution=texts.headline_caution,
        cautions=texts.cautions,
    )


def date_lines(policy: Policy, today: date) -> tuple[DateLine, ...]:
    """Return the rally's dates in order, departure last."""
    lines = [(m.due, visible(m.name)) for m in policy.rally.milestones]
    if policy.rally.departure is not None:
        lines.append((policy.rally.departure, "Departure"))
    return tuple(DateLine(name, long_date(due), days_words(due, today)) for due, name in sorted(lines))


def _since(record: BoatRecord) -> SinceView | None:
    if record.since is None:
        return None
    href = f"../{CHANGES}" + (f"#{record.since_anchor}" if record.since_anchor else "")
    return SinceView(record.since.since, record.since.summary, href)


def _verdict(record: BoatRecord) -> str:
    words = VERDICTS[record.standing.key]
    if record.standing.key != "open-shall":
        return words
    shalls = [f.standing for f in record.findings if f.is_open and f.check.level == "shall"]
    counts = [(shalls.count(s), s.words) for s in (Standing.SHORT, Standing.ABSENT, Standing.UNPROVEN)]
    return f"{words} ({', '.join(f'{count} {word}' for count, word in counts if count)}):"


def _due_words(policy: Policy, today: date) -> str:
    departure = policy.rally.departure
    if departure is None:
        return "The rally has not named a date of departure: close every open shall before you leave."
    when = days_words(departure, today)
    return f"Everything open is to be closed before departure on {long_date(departure)}, {when}."


def _range_words(record: BoatRecord) -> str:
    if not record.requirement.range_mark:
        return ""
    side = "lighter" if record.requirement.range_mark < 0 else "heavier"
    return (
        f"She is {side} than the boats the rules were published for "
        "(7,500 to 60,000 lb, 3,402 to 27,216 kg). Her figures extend the same line and deserve more care."
    )


def _contents(record: BoatRecord) -> tuple[ContentsItem, ...]:
    items = [("standing", "Am I all right?"), ("short", "What is short?")]
    if record.computed:
        items += [("drogue", "My drogue"), ("feel", "Loads"), ("build", "Build or mend"), ("use", "Use it")]
    else:
        items += [("use", "Cautions")]
    items += [("workings", "Workings"), ("downloads", "Take away")]
    return tuple(ContentsItem(*item) for item in items)


def _waived(finding: Finding, view: FindingView, record: BoatRecord) -> WaivedView:
    for waiver in record.waivers:
        if waiver.check == finding.check.id:
            return WaivedView(view, visible(waiver.reason), visible(waiver.officer), long_date(waiver.until))
    return WaivedView(view, "", "", "")


def choice_words(plan: MendPlan) -> str:
    """Return what is to be done, for a table; nothing to make is not nothing to do."""
    words = CHOICE_WORDS[plan.choice]
    if plan.choice == "nothing" and plan.leaves:
        return f"{words}; {plural(len(plan.leaves), 'open finding')} to answer"
    return words


def _plan_view(plan: MendPlan) -> PlanView:
    return PlanView(
        choice=CHOICE_WORDS[plan.choice],
        reason=visible(plan.reason),
        parts=", ".join(plan.groups),
        cones=plural(plan.cones_to_make, "cone") if plan.cones_to_make else "",
        hours=shown(plan.hours, "hours"),
        closes=plural(len(plan.closes), "open finding") if plan.closes else "",
        leaves=plural(len(plan.leaves), "open finding") if plan.leaves else "",
        materials=f"{plan.currency} {plan.materials}" if plan.materials is not None else "",
        runner_up=visible(plan.runner_up),
    )


def _build_words(record: BoatRecord) -> str:
    hours = shown(record.figures.get("labour_hours"), "hours")
    whole = (
        f"A whole drogue for her takes about {hours.metric.replace(' h', ' hours')} once practised. "
        if hours
        else ""
    )
    return whole + "What she has to make is in the plan above; the steps are the same for a part of it."


def _downloads(record: BoatRecord, files: tuple[SharedFile, ...]) -> tuple[Download, ...]:
    mouth_m = record.figures.get("cone_mouth_m")
    marks = (Download(f"{record.slug}-marks.csv", "Marks for the cones (CSV)"),) if record.marks else ()
    return (*marks, *(Download(f"../{file.address}", file.title) for file in files_for(files, mouth_m)))
