"""The one place where a finding becomes a sentence: the text that its check has for its standing, filled.

`said_by` chooses the text of every boat at once, `sentence_of` fills that of one boat, `sentence` gives it
the voice of its reader. What a text may hold stands in `sizing.model.says`.
"""

from __future__ import annotations

import re
import string
from collections.abc import Callable, Iterator, Mapping
from datetime import date
from types import MappingProxyType
from typing import Final, Literal

import numpy as np

from sizing.audit.context import AuditContext
from sizing.audit.if_light import NOTE as IF_LIGHT
from sizing.audit.judge import EQUAL_WITHIN, NOT_COMPUTED_NOTE, Outcome
from sizing.fields import CHOICES, FIELD_BY_NAME
from sizing.model import Ask, BoolArray, Check, CheckColumns, Finding, FleetColumns, Said, Standing, Texts
from sizing.redaction import private_values, redact
from sizing.spoken import spoken, tells_it_right
from sizing.units import both, clip, show
from sizing.words import long_date

Voice = Literal["your", "her"]
"""Whom a sentence is for: the boat's own people, or officer, scrutineer and volunteer."""

Voiced = Mapping[Voice, str]
"""One sentence in each voice."""
VOICES: Final[Mapping[Voice, Mapping[str, str]]] = MappingProxyType(
    {
        "your": {"[her]": "your", "[she]": "your boat", "[boat]": "your boat", "[you]": "you"},
        "her": {"[her]": "her", "[she]": "she", "[boat]": "her", "[you]": "her skipper"},
    }
)
_FILLED: Final[Mapping[Voice, tuple[tuple[str, str], ...]]] = MappingProxyType(
    {
        voice: tuple(
            filled
            for place, word in words.items()
            for filled in ((place, word), (f"[{place[1:].capitalize()}", word.capitalize()))
        )
        for voice, words in VOICES.items()
    }
)
UNREAD: Final = "unread"
"""The case of boats whose sheet says what could not be read in a column that the check looks at."""
GENERAL: Final[Mapping[str, str | Ask]] = MappingProxyType(
    {
        UNREAD: "The entry says {unread}. That cannot be relied on. [You] can count, measure or say it "
        "plainly.",
        NOT_COMPUTED_NOTE: "What [she] needs could not be worked out, so this cannot be judged.",
        IF_LIGHT: Ask(
            "whether [her] displacement is the loaded one, and as the light one this would not be enough",
            "say whether it is loaded or light",
        ),
    }
)
"""What leaves a check unproven whatever it is about: the judge's note, and the sentence."""
NO_DEVICE: Final = "device_type=none"
NOTHING_TO_JUDGE: Final = "There is no drogue aboard, so there is nothing to judge here."
AND_WHO: Final = "[|]"
"""Stands in a text before who can show what is not shown, and how."""
_WHO: Final = re.compile(r" ((?:\[You\]|A naval architect|A scrutineer|A surveyor)(?: or a surveyor)? can\b)")
FALLBACK: Final[Mapping[Standing, str]] = MappingProxyType(
    {
        Standing.MEETS: "This is shown to be enough.",
        Standing.SHORT: "This is not enough.",
        Standing.ABSENT: "There is none aboard.",
        Standing.UNPROVEN: "Nothing shows this yet.",
        Standing.NOT_APPLICABLE: "This does not concern this boat.",
    }
)
"""Where a text wants a figure that is not known: never reached by a check whose last text has none."""

_NO_PLACES: Final = str.maketrans("[]", "()")
"""Square brackets are places of the voice here, and none in words of others."""

_OF_FIGURES: Final[Mapping[str, Callable[[Outcome], BoolArray]]] = MappingProxyType(
    {
        "no found": lambda outcome: np.isnan(outcome.found),
        "no required": lambda outcome: np.isnan(outcome.required),
        "found=0": lambda outcome: np.asarray(outcome.found == 0.0),
        "found<1": lambda outcome: np.asarray(outcome.found < 1.0),
        "found<required": lambda outcome: np.asarray(outcome.found < outcome.required * (1.0 - EQUAL_WITHIN)),
    }
)
_OF_BOATS: Final[Mapping[str, Callable[[AuditContext], BoolArray]]] = MappingProxyType(
    {
        "not computed": lambda context: ~context.computed,
        "several sections": lambda context: np.asarray(context.sections > 1),
    }
)


def said_by(context: AuditContext, check: Check, outcome: Outcome) -> Said:
    """Which text of a check each boat gets, before waivers."""
    texts: list[str] = []
    which = np.full(context.boats, -1, dtype=np.int64)
    for standing, case, text in _texts_of(check):
        open_yet = (outcome.standing == standing) & (which < 0)
        if open_yet.any():
            which[open_yet & _holds(context, outcome, case) & _known(context, check, outcome, text)] = len(
                texts
            )
        texts.append(text)
    ahead = context.reference_day > context.today
    return Said(tuple(texts), which, context.reference_day, ahead=ahead)


def asks_of(context: AuditContext, check: Check, outcome: Outcome) -> tuple[tuple[BoolArray, str], ...]:
    """How each boat can show what is not shown: all that her entry leaves unsaid, and nothing else."""
    asks = [(case, text) for case, text in check.says.unproven.items() if isinstance(text, Ask)]
    asks += [(case, text) for case, text in GENERAL.items() if isinstance(text, Ask)]
    unproven = outcome.standing == Standing.UNPROVEN
    wanting = [unproven & _holds(context, outcome, case) for case, _ in asks]
    if not asks or not np.any(wanting):
        return ()
    patterns, which = np.unique(np.column_stack(wanting), axis=0, return_inverse=True)
    told = []
    for place, pattern in enumerate(patterns):
        shows = dict.fromkeys(ask.show for (_, ask), wanted in zip(asks, pattern, strict=True) if wanted)
        if shows:
            sentences = " ".join(f"{_first_upper(show_it)}." for show_it in shows)
            told.append((np.asarray(which.ravel() == place), sentences))
    return tuple(told)


def _texts_of(check: Check) -> Iterator[tuple[Standing, str, str]]:
    """Every text of a check: standing, case, template; the first that holds is said."""
    says = check.says
    for standing, texts in (
        (Standing.MEETS, says.meets), (Standing.SHORT, says.short), (Standing.ABSENT, says.absent),
    ):  # fmt: skip
        for case, text in _by_case(texts).items():
            yield standing, case, text
    for case, ask in {**GENERAL, **says.unproven}.items():
        for text in _asked(ask, says.need):
            yield Standing.UNPROVEN, case, text
    for case, text in sorted(_by_case(says.moot).items(), key=lambda item: not item[0]):
        if not case:
            yield Standing.NOT_APPLICABLE, NO_DEVICE, NOTHING_TO_JUDGE
        yield Standing.NOT_APPLICABLE, case, text
    yield Standing.NOT_APPLICABLE, NO_DEVICE, NOTHING_TO_JUDGE
    for standing, text in FALLBACK.items():
        yield standing, "", text


def _by_case(texts: Texts) -> Mapping[str, str]:
    if isinstance(texts, str):
        return {"": texts} if texts else {}
    return texts


def _asked(ask: str | Ask, need: str) -> Iterator[str]:
    """The sentences of what is not known: with what is needed, where that is known, and without."""
    if isinstance(ask, str):
        yield _WHO.sub(rf" {AND_WHO}\1", ask)
        return
    unsaid, shown = f"The entry does not say {ask.what}.", f"{AND_WHO}{ask.who} {ask.show}."
    if need:
        yield f"{unsaid} {need} {shown}"
    yield f"{unsaid} {shown}"


def _holds(context: AuditContext, outcome: Outcome, case: str) -> BoolArray:
    """Boats that a case is about, (n,)."""
    if case == UNREAD:
        none = np.zeros(context.boats, dtype=np.bool_)
        return none if outcome.unread is None else outcome.unread
    if case in GENERAL:
        masks = [mask for mask, note in outcome.notes if note == case]
        return np.any(masks, axis=0) if masks else np.zeros(context.boats, dtype=np.bool_)
    held = context.everyone
    for clause in case.split(" & ") if case else ():
        held = held & _clause(context, outcome, clause)
    return held


def _clause(context: AuditContext, outcome: Outcome, clause: str) -> BoolArray:
    if clause in _OF_FIGURES:
        return _OF_FIGURES[clause](outcome)
    if clause in _OF_BOATS:
        return _OF_BOATS[clause](context)
    column, sign, words = clause.partition("=")
    if not sign:
        return ~blank(context.fleet, column[1:]) if column[0] == "!" else blank(context.fleet, column)
    chosen = context.chosen(column.removesuffix("!"), *words.split("|"))
    return ~chosen if column.endswith("!") else chosen


def blank(fleet: FleetColumns, column: str) -> BoolArray:
    """Boats whose entry says nothing in a column, or that it is not known; (n,)."""
    field = FIELD_BY_NAME[column]
    if field.kind == "choice":
        unknown = "unknown" in CHOICES[column] and fleet.chosen(column, "unknown")
        return np.asarray((fleet.choice[column] < 0) | unknown)
    if field.kind == "text":
        return np.asarray(fleet.text[column].to_numpy() == "")
    values = fleet.section_diameters_m[:, 0] if field.kind == "quantities" else fleet.number[field.numbers[0]]
    return np.isnan(values)


def _known(context: AuditContext, check: Check, outcome: Outcome, text: str) -> BoolArray:
    """Boats of which every figure and word is known that a text wants, (n,)."""
    known = context.everyone
    for name in names_in(text):
        if name in ("found", "more"):
            known = known & ~np.isnan(outcome.found)
        if name in ("required", "more"):
            known = known & ~np.isnan(outcome.required)
        if name == "age":
            known = known & np.any([~blank(context.fleet, year) for year in _years(check)], axis=0)
        elif name in FIELD_BY_NAME:
            known = known & ~blank(context.fleet, name)
    return known


def names_in(text: str) -> tuple[str, ...]:
    """Names of the figures and words that a text wants."""
    return tuple(name for _, name, _, _ in string.Formatter().parse(text) if name)


class _Figure:
    """A figure in a sentence: by itself, counting a noun, or choosing the word that goes with its number."""

    def __init__(self, text: str) -> None:
        self._text = text
        self._one = self._text in {"1", "1 year", "1 day"}

    def __format__(self, spec: str) -> str:
        if "/" in spec:
            return spec.split("/")[0 if self._one else 1]
        return f"{self._text} {spec}{'' if self._one else 's'}" if spec else self._text


class _Word:
    """A word of the entry in a sentence."""

    def __init__(self, word: str) -> None:
        self._word = word

    def __format__(self, spec: str) -> str:
        if spec != "a" or self._word.endswith("s"):
            return self._word
        return f"{'an' if self._word[0] in 'aeiou' else 'a'} {self._word}"


def sentence_of(result: CheckColumns, fleet: FleetColumns, row: int) -> str:
    """What the check says of boat `row`, in the voice of nobody yet."""
    said = result.said
    if said is None or said.which[row] < 0:
        return result.check.sentence
    text = said.texts[said.which[row]]
    values = {name: _value(result, fleet, row, name) for name in names_in(text)}
    told = string.Formatter().vformat(text, (), values) + _too_close_to_see(result, row)
    standing = Standing(int(result.standing[row]))
    if standing is Standing.WAIVED:
        return f"Set aside by the rally: {_first_lower(told)}"
    return told + _more_advised(result, row, standing)


def _value(result: CheckColumns, fleet: FleetColumns, row: int, name: str) -> _Figure | _Word | str:
    if name in ("found", "required", "more"):
        return _Figure(_spoken(result, row, name))
    if name in (UNREAD, "needed", "allowed"):
        return _unread(result, fleet, row) if name == UNREAD else _asked_as(result, name)
    said = result.said
    if said is not None and name in ("day", "will_be", "will_be_many", "age"):
        return _of_the_day(said, result.check, fleet, row, name)
    field = FIELD_BY_NAME[name]
    if field.kind == "choice":
        return _Word(CHOICES[name][int(fleet.choice[name][row])])
    value = float(fleet.number[field.numbers[0]][row])
    if field.kind == "date":
        return long_date(date.fromordinal(int(value)))
    return f"{value:.0f}" if field.dimension is None else spoken(value, field.dimension, "nearest")


def _asked_as(result: CheckColumns, name: str) -> str:
    return name if result.check.level == "shall" else "advised"


def _unread(result: CheckColumns, fleet: FleetColumns, row: int) -> str:
    """What her sheet says and could not be read, in her own words, each with what it is about."""
    private = private_values(fleet, row)
    told = []
    for name in result.unread_in:
        if text := fleet.unread_text(name, row):
            plain = redact(clip(text), private).translate(_NO_PLACES)
            told.append(f"“{plain}” ({FIELD_BY_NAME[name].label})")
    return " and ".join(told)


def _spoken(result: CheckColumns, row: int, name: str) -> str:
    """A figure of a finding as it is said; to the nearest, where enough would else be seen as too little."""
    required, found = float(result.required[row]), float(result.found[row])
    dimension, at_most = result.check.dimension, result.at_most
    value = {"found": found, "required": required, "more": abs(required - found)}[name]
    met = result.standing[row] == Standing.MEETS
    if met and not tells_it_right(found, required, dimension, at_most=at_most):
        return spoken(value, dimension, "nearest")
    return spoken(value, dimension, "up" if (name == "required") != at_most else "down")


def _of_the_day(said: Said, check: Check, fleet: FleetColumns, row: int, name: str) -> str:
    """The day judged for, the tense that it asks for, and how old a part is then."""
    if name == "day":
        return long_date(said.day)
    if name == "age":
        years = (float(fleet.number[year][row]) for year in _years(check))
        made = next(year for year in years if not np.isnan(year))
        return both(said.day.year - made, "years")
    return "will be" if said.ahead else "are" if name == "will_be_many" else "is"


def _years(check: Check) -> tuple[str, ...]:
    """Columns that tell the year a part was made, its own first."""
    return (*(column for column in check.columns if column.endswith("_year")), "made_year")


def _too_close_to_see(result: CheckColumns, row: int) -> str:
    """A shortfall that the figures as shown would hide."""
    required, found = float(result.required[row]), float(result.found[row])
    if result.standing[row] != Standing.SHORT or np.isnan(required) or np.isnan(found):
        return ""
    needed, seen = show(required, result.check.dimension), show(found, result.check.dimension)
    if needed.metric != seen.metric and needed.us != seen.us:
        return ""
    wanting = both(abs(required - found), result.check.dimension)
    return f" That is {wanting} too {'much' if result.at_most else 'little'}."


def _more_advised(result: CheckColumns, row: int, standing: Standing) -> str:
    """What is advised beyond what is met."""
    if standing is not Standing.MEETS or result.advised is None or not result.below_advised[row]:
        return ""
    reached = "not reached" if result.advised.standing[row] == Standing.SHORT else "not shown to be reached"
    limit = float(result.advised.limit[row])
    advised = "" if np.isnan(limit) else f": {spoken(limit, result.check.dimension, 'up')}"
    return f" More is advised{advised}; that is {reached}."


def sentence(finding: Finding, voice: Voice) -> str:
    """What is to be said of a finding, to those on board (“your”) or to anybody else (“her”).

    It says how she stands in words and figures, number and tense right; of what is not shown, the one thing
    that is missing and who can show it.
    """
    return in_voice(finding.said or finding.check.sentence, voice)


def fact(finding: Finding, voice: Voice) -> str:
    """The sentence of a finding without who can show it and how: for where her advice stands beside it."""
    return in_voice((finding.said or finding.check.sentence).partition(AND_WHO)[0].rstrip(), voice)


def in_voice(text: str, voice: Voice) -> str:
    """A text with its places for the voice filled.

    >>> in_voice("[Her] bridle holds. [You] can see it.", "her")
    'Her bridle holds. Her skipper can see it.'
    """
    text = text.replace(AND_WHO, "")
    if "[" in text:
        for place, word in _FILLED[voice]:
            text = text.replace(place, word)
    return text


def in_voices(text: str, *data: str) -> Voiced:
    """A text in each voice. `data` is text of others, put in the places of its {} as it is.

    >>> in_voices("Buy [her] parts: {}.", "[her] rope")["your"]
    'Buy your parts: [her] rope.'
    """
    return {voice: in_voice(text, voice).format(*data) if data else in_voice(text, voice) for voice in VOICES}


def _first_lower(text: str) -> str:
    """The text going on after a colon; a place for the voice begins with a bracket."""
    start = 1 if text.startswith("[") else 0
    return text[:start] + text[start : start + 1].lower() + text[start + 1 :]


def _first_upper(text: str) -> str:
    return text[:1].upper() + text[1:]
