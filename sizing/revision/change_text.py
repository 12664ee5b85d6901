"""The report of changes as plain text, for reading and for mail."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from typing import Final

from sizing.revision.changes import (
    Amendment,
    BoatChange,
    BoatKind,
    Cause,
    ChangeReport,
    FindingChange,
    FindingKind,
    ItemChange,
    NeedChange,
    PlanChange,
)
from sizing.revision.lines import folded, one_line
from sizing.words import level_words, open_words, vocabulary, word

_SECTIONS: Final[tuple[tuple[BoatKind, str], ...]] = (
    ("entered", "Entered"),
    ("withdrawn", "Withdrawn"),
    ("put right", "Rejected before, taken now"),
    ("now rejected", "Taken before, rejected now"),
    ("rejected", "New rows, rejected"),
    ("still rejected", "Still rejected, for other reasons"),
    ("rejected row gone", "Rejected before, no longer in the sheet"),
    ("amended", "Amended"),
    ("judged anew", "Not amended, but judged anew"),
)
_KINDS: Final[tuple[FindingKind, ...]] = (
    "closed", "waived", "no longer applies", "reopened", "opened", "still open", "other", "not judged",
)  # fmt: skip
MANY: Final = 4
"""Boats from which on one line is said for all of them."""

CAUSE_WORDS: Final[dict[Cause, str]] = {
    "entry": "her entry",
    "rules": "the rules",
    "waiver": "a waiver",
    "day": "the day it is judged for",
    "run": "not her entry nor the rules: another boat's entry, or how the run was made",
}


def cause_words(causes: Iterable[Cause]) -> str:
    """Return what can have made a difference, in words.

    >>> cause_words(["entry", "rules"])
    'her entry or the rules'
    """
    return " or ".join(CAUSE_WORDS[cause] for cause in causes)


def change_report_text(report: ChangeReport) -> str:
    """Return the report as plain text, 76 columns wide, ending with a line end."""
    return "\n".join(_lines(report)) + "\n"


def _lines(report: ChangeReport) -> Iterator[str]:
    then, now = report.previous.today.isoformat(), report.current.today.isoformat()
    yield f"Changes from the run for {then} to the run for {now}"
    yield ""
    yield from folded(
        f"Boats taken: {report.boats_before.accepted} then, {report.boats_after.accepted} now. "
        f"Rows rejected: {report.boats_before.rejected} then, {report.boats_after.rejected} now."
    )
    for note in report.notes:
        yield from folded(note)
    if report.is_empty:
        yield ""
        yield "Nothing changed."
        return
    if report.rules:
        yield from _title("The rules changed")
        for rule in report.rules:
            key = rule.id.removeprefix("policy.")
            words = rule.words if rule.id.startswith("run.") or rule.words == key else f"{key} ({rule.words})"
            yield from _item(f"{words}: {rule.before} -> {rule.after}")
    alike = _alike(report.boats)
    if alike:
        yield from _title("The rules changed this for many boats alike")
        for words, entries in alike.items():
            yield from _item(f"{words}: {len(entries)} boats, {', '.join(entries)}")
    for kind, title in _SECTIONS:
        boats = report.of_kind(kind)
        if boats:
            yield from _title(f"{title} ({len(boats)})")
            for boat in boats:
                if kind != "judged anew" or not _told_alike(boat, alike):
                    yield from _boat(boat, alike)
    if report.order:
        yield from _title(f"The order ({len(report.order)} items differ)")
        for item in report.order:
            yield from _item(item_words(item))


def _title(text: str) -> Iterator[str]:
    yield ""
    yield text.upper()
    yield ""


def _item(text: str, indent: int = 2) -> list[str]:
    return folded(text, first=" " * indent + "- ", rest=" " * (indent + 2))


def _boat(boat: BoatChange, alike: Collection[str]) -> Iterator[str]:
    heading = f"{one_line(boat.entry_no) or '(no entry number)'}: {one_line(boat.boat_name) or '(no name)'}"
    yield from folded(heading, first="  ", rest="    ")
    if boat.was_entry_no:
        yield from _item(renumbered_words(boat), 4)
    if boat.problems_before:
        yield from _item(f"was rejected: {'; '.join(boat.problems_before)}", 4)
    if boat.problems_after:
        yield from _item(f"rejected: {'; '.join(boat.problems_after)}", 4)
    for amendment in boat.amendments:
        yield from _item(amendment_words(amendment), 4)
    if boat.not_computed_before != boat.not_computed_after:
        why = boat.not_computed_after
        left = word("state", "not computed", "officer")
        yield from _item(f"{left}: {why}" if why else "her figures can be worked out now", 4)
    for need in boat.needs:
        yield from _item(need_words(need), 4)
    for words in _findings(boat):
        if words not in alike:
            yield from _item(words, 4)
    if boat.plan:
        yield from _item(plan_words(boat.plan), 4)
    counts = boat.open_shalls_before, boat.open_shalls_after
    if counts[0] != counts[1]:
        yield from _item(f"{_left(counts[0])} -> {_left(counts[1])}", 4)


def _findings(boat: BoatChange) -> list[str]:
    """Her findings in words, by kind; those that no longer apply in one line."""
    ordered = sorted(boat.findings, key=lambda finding: _KINDS.index(finding.kind))
    gone = boat.of_kind("no longer applies")
    words = [finding_words(finding) for finding in ordered if finding.kind != "no longer applies"]
    if gone:
        causes = cause_words(dict.fromkeys(cause for finding in gone for cause in finding.causes))
        checks = ", ".join(f"{finding.check} ({level_words(finding.level, 'officer')})" for finding in gone)
        words.append(f"no longer apply, were open: {checks} (cause: {causes})")
    return words


def _alike(boats: Iterable[BoatChange]) -> dict[str, list[str]]:
    """Changes by the rules alone that are word for word the same for many boats, with their entry numbers."""
    entries: dict[str, list[str]] = {}
    for boat in boats:
        for finding in boat.findings:
            if finding.causes == ("rules",) and finding.kind != "no longer applies":
                entries.setdefault(finding_words(finding), []).append(one_line(boat.entry_no))
    return {words: found for words, found in entries.items() if len(found) >= MANY}


def _told_alike(boat: BoatChange, alike: Collection[str]) -> bool:
    """Whether all that changed about a boat is told for many boats at once."""
    rest = boat.amendments or boat.needs or boat.plan
    reasons = boat.not_computed_before != boat.not_computed_after
    counts = boat.open_shalls_before != boat.open_shalls_after
    return not (rest or reasons or counts) and all(words in alike for words in _findings(boat))


def _left(count: int | None) -> str:
    return "(none)" if count is None else open_words(count, 0, "officer")


def renumbered_words(boat: BoatChange) -> str:
    """Return by what a boat was known again under her new entry number."""
    changed = any(a.field != "entry_no" and a.kind in {"amended", "rewritten"} for a in boat.amendments)
    if not changed:
        return f"the same row stood under entry {boat.was_entry_no}"
    return (
        f"taken for entry {boat.was_entry_no} of the earlier list, by her name and design; other cells differ"
    )


def amendment_words(amendment: Amendment) -> str:
    """Return one amendment in words."""
    field = amendment.field
    if amendment.kind == "private":
        return f"{field}: changed"
    words = f"{field}: {amendment.before or '(blank)'} -> {amendment.after or '(blank)'}"
    told = {
        "rewritten": " (written otherwise, the same value)",
        "reread": " (the same text, read otherwise, SI)",
    }
    return words + told.get(amendment.kind, "")


def need_words(need: NeedChange) -> str:
    """Return one figure of what she needs in words."""
    name = (
        need.name.removesuffix("_kg")
        .removesuffix("_n")
        .removesuffix("_m2")
        .removesuffix("_m")
        .replace("_", " ")
    )
    before, after = need.shown(need.before), need.shown(need.after)
    return f"needs, {name}: {before} -> {after} (cause: {cause_words(need.causes)})"


def finding_words(finding: FindingChange) -> str:
    """Return one finding's change in words."""
    return (
        f"{finding.kind}, {level_words(finding.level, 'officer')}: {finding.check}: "
        f"{finding.shown(finding.before)} -> {finding.shown(finding.after)} "
        f"(cause: {cause_words(finding.causes)})"
    )


def plan_words(plan: PlanChange) -> str:
    """Return the change of plan in words."""
    terms = vocabulary()  # a record of another version may hold a word that is not in it
    before, after = (
        terms["plan", choice].words["officer"] if ("plan", choice) in terms else choice
        for choice in (plan.before, plan.after)
    )
    words = [f"plan: {before} -> {after}" if before != after else f"plan: {after}, as before"]
    if plan.parts_added:
        words.append(f"parts added: {', '.join(plan.parts_added)}")
    if plan.parts_dropped:
        words.append(f"parts no longer needed: {', '.join(plan.parts_dropped)}")
    if plan.cones_before != plan.cones_after:
        words.append(f"cones to make: {plan.cones_before} -> {plan.cones_after}")
    return "; ".join(words)


def item_words(item: ItemChange) -> str:
    """Return one item's change in words."""
    before = f"{item.before:f} {item.unit_before}" if item.before is not None else "(none)"
    after = f"{item.after:f} {item.unit}" if item.after is not None else "(none)"
    words = f"{item.id}, {item.description}: {before} -> {after}"
    return words if item.difference is None else f"{words} ({item.difference:+f} {item.unit})"
