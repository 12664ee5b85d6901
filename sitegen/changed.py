"""What changed since an earlier run, in words that may be published."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Final, Literal

from sitegen.dates import long_date
from sitegen.pages.parts import plural
from sitegen.plain_text import visible
from sitegen.redaction import occurring, redact
from sitegen.told_figures import figures_of
from sizing.revision import Amendment, BoatChange, ChangeReport, FindingChange, ItemChange
from sizing.revision.change_text import (
    MANY,
    amendment_words,
    cause_words,
    finding_words,
    item_words,
    need_words,
    plan_words,
    renumbered_words,
)
from sizing.revision.changes import BoatKind, FindingKind
from sizing.units import Shown

Mark = Literal["", "meets", "short"]
CLOSED: Final[tuple[FindingKind, ...]] = ("closed", "waived", "no longer applies")
OPENED: Final[tuple[FindingKind, ...]] = ("reopened", "opened")
OTHER: Final[tuple[FindingKind, ...]] = ("still open", "other", "not judged")
ARRIVED: Final[Mapping[BoatKind, str]] = {
    "entered": "she entered",
    "put right": "her row was rejected then and is taken now",
}


@dataclass(frozen=True)
class ChangeBlock:
    """Some changes of one kind. `mark` is the sign of a standing, blank where it is neither good nor bad.

    `figures` are those that the program wrote into the lines, not those of the sheet.
    """

    title: str
    mark: Mark
    lines: tuple[str, ...]
    figures: tuple[Shown, ...] = ()


@dataclass(frozen=True)
class ChangedBoat:
    """One boat, or one rejected row, that is not what it was."""

    entry_no: str
    boat_name: str
    kind: BoatKind
    summary: str
    blocks: tuple[ChangeBlock, ...]


@dataclass(frozen=True)
class AlikeChange:
    """One change that the rules alone made on many boats, word for word the same; their entry numbers."""

    words: str
    entry_nos: tuple[str, ...]
    figures: tuple[Shown, ...] = ()


@dataclass(frozen=True)
class SinceNote:
    """What a boat's own page says of her changes."""

    since: str
    summary: str


@dataclass(frozen=True)
class Changed:
    """All of a report as it may be published. `notes` maps an entry number to what her page says."""

    since: str
    until: str
    counts: tuple[str, ...]
    remarks: tuple[str, ...]
    rules: tuple[str, ...]
    alike: tuple[AlikeChange, ...]
    boats: tuple[ChangedBoat, ...]
    order: tuple[ItemChange, ...]
    notes: Mapping[str, SinceNote]


def changed(
    report: ChangeReport, sentences: Mapping[str, str], private: Iterable[str], public: Collection[str]
) -> Changed:
    """Return a report in words without contact details.

    `sentences` are the checks by id; `private` are the contact details of everybody, `public` the names that
    may stand even where they are spelt like one.
    """
    named = _with_sentences(report, sentences)
    blob = "\n".join(_all_words(named))
    hidden = tuple(value for value in occurring(private, blob) if value not in public)

    def clean(words: str) -> str:
        return visible(redact(words, hidden))

    since = long_date(report.previous.today)
    alike = _alike(named.boats)
    notes = {
        boat.entry_no: SinceNote(since, _summary(boat))
        for boat in named.boats
        if boat.kind in {"entered", "put right", "amended", "judged anew"}
    }
    return Changed(
        since=since,
        until=long_date(report.current.today),
        counts=tuple(_counts(report)),
        remarks=tuple(map(clean, report.notes)),
        rules=tuple(clean(f"{rule.words}: {rule.before} -> {rule.after}") for rule in report.rules),
        alike=tuple(
            AlikeChange(clean(words), tuple(boat.entry_no for boat, _ in told), figures_of([told[0][1]], ()))
            for words, told in alike.items()
        ),
        boats=tuple(_boats(named.boats, alike, clean)),
        order=tuple(replace(item, description=clean(item.description)) for item in report.order),
        notes=notes,
    )


def _with_sentences(report: ChangeReport, sentences: Mapping[str, str]) -> ChangeReport:
    """The report with every check named by its sentence in the place of its id."""

    def named(finding: FindingChange) -> FindingChange:
        return replace(finding, check=sentences.get(finding.check, finding.check).rstrip("."))

    return replace(
        report,
        boats=tuple(replace(boat, findings=tuple(map(named, boat.findings))) for boat in report.boats),
    )


def _all_words(report: ChangeReport) -> Iterator[str]:
    yield from report.notes
    for rule in report.rules:
        yield from (rule.words, rule.before, rule.after)
    for boat in report.boats:
        yield from (line for block in _blocks(boat, ()) for line in block.lines)
    yield from map(item_words, report.order)


def _counts(report: ChangeReport) -> Iterator[str]:
    kinds: tuple[tuple[str, tuple[BoatKind, ...]], ...] = (
        ("entered", ("entered",)),
        ("withdrawn", ("withdrawn",)),
        ("put right", ("put right",)),
        ("now rejected", ("now rejected",)),
        ("amended", ("amended",)),
        ("judged anew", ("judged anew",)),
    )
    for words, which in kinds:
        if boats := report.of_kind(*which):
            yield f"{plural(len(boats), 'boat')} {words}"
    for words, kinds_of in (("closed", CLOSED), ("opened again", ("reopened",)), ("opened", ("opened",))):
        count = sum(len(boat.of_kind(*kinds_of)) for boat in report.boats)
        if count:
            yield f"{plural(count, 'finding')} {words}"
    if report.order:
        yield f"{plural(len(report.order), 'item')} of the order in another quantity"


def _alike(boats: Iterable[BoatChange]) -> dict[str, list[tuple[BoatChange, FindingChange]]]:
    told: dict[str, list[tuple[BoatChange, FindingChange]]] = {}
    for boat in boats:
        for finding in boat.findings:
            if finding.causes == ("rules",) and finding.kind != "no longer applies":
                told.setdefault(finding_words(finding), []).append((boat, finding))
    return {words: found for words, found in told.items() if len(found) >= MANY}


def _boats(
    boats: Iterable[BoatChange], alike: Collection[str], clean: Callable[[str], str]
) -> Iterator[ChangedBoat]:
    for boat in boats:
        blocks = tuple(replace(block, lines=tuple(map(clean, block.lines))) for block in _blocks(boat, alike))
        if blocks or boat.kind != "judged anew":
            yield ChangedBoat(
                boat.entry_no, visible(redact(boat.boat_name)), boat.kind, _shalls(boat), blocks
            )


def _blocks(boat: BoatChange, alike: Collection[str]) -> Iterator[ChangeBlock]:
    row = [renumbered_words(boat)] if boat.was_entry_no else []
    row += [f"was rejected: {words}" for words in dict.fromkeys(boat.problems_before)]
    row += [f"rejected: {words}" for words in dict.fromkeys(boat.problems_after)]
    figures = []
    if boat.not_computed_before != boat.not_computed_after:
        after = boat.not_computed_after
        figures.append(f"not computed: {after}" if after else "her figures can be computed now")
    figures += [need_words(need).removeprefix("needs, ") for need in boat.needs]
    shown = figures_of(boat.findings, boat.needs)
    blocks = (
        ChangeBlock("Her row", "", tuple(row)),
        ChangeBlock("Her entry", "", tuple(map(_amended, boat.amendments))),
        ChangeBlock("Closed", "meets", tuple(_findings(boat, CLOSED, alike)), shown),
        ChangeBlock("Opened", "short", tuple(_findings(boat, OPENED, alike)), shown),
        ChangeBlock("Judged otherwise", "", tuple(_findings(boat, OTHER, alike)), shown),
        ChangeBlock("What she needs", "", tuple(figures), shown),
        ChangeBlock("Her plan", "", (plan_words(boat.plan).removeprefix("plan: "),) if boat.plan else ()),
    )
    yield from (block for block in blocks if block.lines)


def _amended(amendment: Amendment) -> str:
    return amendment_words(replace(amendment, field=amendment.field.replace("_", " ")))


def _findings(boat: BoatChange, kinds: tuple[FindingKind, ...], alike: Collection[str]) -> Iterator[str]:
    gone = [] if "no longer applies" not in kinds else list(boat.of_kind("no longer applies"))
    for kind in kinds:
        if kind != "no longer applies":
            told = [w for finding in boat.of_kind(kind) if (w := finding_words(finding)) not in alike]
            # The title of the block says these two already.
            yield from (w.removeprefix("closed, ").removeprefix("opened, ") for w in told)
    if gone:
        causes = cause_words(dict.fromkeys(cause for finding in gone for cause in finding.causes))
        checks = "; ".join(finding.check for finding in gone)
        yield f"no longer applies, was open: {checks} (cause: {causes})"


def _shalls(boat: BoatChange) -> str:
    before, after = boat.open_shalls_before, boat.open_shalls_after
    if before is None or after is None:
        one, when = (after, "") if before is None else (before, " then")
        return "" if one is None else f"{_count(one)}{when}"
    return f"{_count(after)}, as before" if before == after else f"{_count(after)}, {before:,} before"


def _count(shalls: int) -> str:
    return plural(shalls, "open shall") if shalls else "no open shall"


def _summary(boat: BoatChange) -> str:
    """One boat's changes in one sentence; counts only, so that nothing of a cell stands in it."""
    parts = [ARRIVED[boat.kind]] if boat.kind in ARRIVED else []
    amended = len(boat.amendments)
    parts += [f"{plural(amended, 'answer')} amended"] if amended else []
    for words, kinds in (("closed", CLOSED), ("opened", OPENED), ("judged otherwise", OTHER)):
        if count := len(boat.of_kind(*kinds)):
            parts.append(f"{plural(count, 'finding')} {words}")
    parts += [f"{plural(len(boat.needs), 'figure')} of what she needs changed"] if boat.needs else []
    parts += ["another plan"] if boat.plan else []
    if shalls := _shalls(boat):
        parts.append(shalls)
    return ", ".join(parts)
