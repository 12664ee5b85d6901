"""How the drogue is used, as her page tells it: the stages of the register, each with its drawings."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import ClassVar, Final

from sitegen.boat_drawings import Drawing
from sitegen.boat_facts import BoatFacts
from sitegen.pages.frame import SearchEntry
from sitegen.pages.parts import shown
from sizing.catalogue import Catalogue
from sizing.order.recovery_pieces import blocks_hold, small_parts
from sizing.policy import Policy
from sizing.seamanship.register import WHAT_SIGNS_MEAN, Sign, Stage, Step, register
from sizing.units import Shown

_HER: Final = re.compile(r"\b[Hh]er\b")
_BLANK: Final = re.compile(r" _+")
"""A line to be filled in by hand, which the card alone has."""

TITLES: Final[Mapping[Stage, str]] = {
    "decide": "Should we?",
    "harbour": "In harbour",
    "ready": "Before the storm",
    "launch": "Launch",
    "lie": "Lie to it",
    "wrong": "If it goes wrong",
    "cut": "Cut away: last resort",
    "recover": "Get it back",
    "after": "Afterwards",
}
HULLS: Final = {
    "sailing": "sailing boat",
    "motor": "motor boat",
    "monohull": "monohull",
    "multihull": "multihull",
}


@dataclass(frozen=True)
class StepView:
    """One step as shown; `marks` say in words where it comes from."""

    key: str
    say: str
    why: str
    caution: str
    marks: tuple[str, ...]


@dataclass(frozen=True)
class GearView:
    """What she gets it back with: how many, how long where it is rope, of what, whether it is in her kit."""

    name: str
    pieces: int
    length: Shown | None
    rope: str
    in_kit: bool


@dataclass(frozen=True)
class StageView:
    """One stage: its address on the page, its title, when it is hers to do, its steps, drawings and gear."""

    anchor: str
    title: str
    when: str
    steps: tuple[StepView, ...]
    drawings: tuple[Drawing, ...]
    gear: tuple[GearView, ...]
    gear_notes: tuple[str, ...]


@dataclass(frozen=True)
class UseView:
    """The whole section: for which rig it is, what the source does not cover, the stages, who is quoted."""

    whose: str
    outside: tuple[str, ...]
    stages: tuple[StageView, ...]
    sources: tuple[str, ...]


def use_view(
    facts: BoatFacts, drawings: Mapping[Stage, tuple[Drawing, ...]], policy: Policy, catalogue: Catalogue
) -> UseView:
    """Return how she is told to use it; with gaps where she has no figures."""
    told = facts.told
    figures = told.figures if facts.computed else _NotHere()
    steps = tuple(told.steps("page"))
    gear = tuple(_gear(facts, catalogue)) if told.rig == "series" and facts.computed else ()
    stages = tuple(
        StageView(
            anchor=f"use-{stage}",
            title=TITLES[stage],
            when=told.launch_when if stage == "launch" else "",
            steps=tuple(_step(step, figures) for step in group),
            drawings=drawings.get(stage, ()),
            gear=gear if stage == "recover" else (),
            gear_notes=tuple(_gear_notes(gear, facts, policy, catalogue)) if stage == "recover" else (),
        )
        for stage, group in groupby(steps, lambda step: step.stage)
    )
    used = {sign.source for step in steps for sign in step.signs}
    sources = tuple(
        words.split(": ", 1)[1]
        for sign, words in register().meaning.items()
        if sign in used and sign not in WHAT_SIGNS_MEAN
    )
    return UseView(yours(" ".join(told.whose).strip()), tuple(map(yours, told.outside)), stages, sources)


def yours(said: str) -> str:
    """Return what a card says of her as her own page says it.

    >>> yours("For her series drogue. Measure what is aboard.")
    'For your series drogue. Measure what is aboard.'
    """
    return _HER.sub(lambda her: "Your" if her[0] == "Her" else "your", said)


@dataclass(frozen=True)
class GeneralStep:
    """A step as it stands for any boat; `whose` says which boats it is for, where not for all."""

    whose: str
    step: StepView


@dataclass(frozen=True)
class GeneralStage:
    """A stage as it stands for any boat."""

    anchor: str
    title: str
    steps: tuple[GeneralStep, ...]


@dataclass(frozen=True)
class SeamanshipBlock:
    """The use of a series drogue, stage by stage, as far as it holds for any boat."""

    name: ClassVar[str] = "seamanship"
    template: ClassVar[str] = "seamanship.html.j2"

    stages: tuple[GeneralStage, ...]
    sources: tuple[str, ...]

    def search_entries(self, address: str) -> tuple[SearchEntry, ...]:
        """Every step."""
        return tuple(
            SearchEntry(
                f"{address}#{stage.anchor}",
                f"{stage.title}: {item.step.key.rstrip(' .:,')}",
                f"{item.step.say} {item.step.why} {item.step.caution}".strip(),
            )
            for stage in self.stages
            for item in stage.steps
        )


class _NotHere(dict[str, str]):
    """Figures are her own: here stands a gap for each."""

    def __missing__(self, key: str) -> str:
        return "…"


def seamanship_block() -> SeamanshipBlock:
    """Return what the register says of a series drogue for all boats, those of some hulls marked so."""
    steps = [step for step in register().steps if step.rig != "other" and step.only != "card"]
    return SeamanshipBlock(
        tuple(
            GeneralStage(
                stage,
                TITLES[stage],
                tuple(GeneralStep(_for_whom(step), _step(step, _NotHere())) for step in group),
            )
            for stage, group in groupby(steps, lambda step: step.stage)
        ),
        tuple(
            words.split(": ", 1)[1]
            for sign, words in register().meaning.items()
            if sign not in WHAT_SIGNS_MEAN
        ),
    )


def _for_whom(step: Step) -> str:
    words = [HULLS[hull] for hull in HULLS if hull in step.hulls]
    return ", ".join([*words, *([f"with a {step.haul}"] if step.haul else [])]).capitalize()


def _step(step: Step, figures: Mapping[str, str]) -> StepView:
    say = _BLANK.sub(" …", f"{step.say} {step.more}".rstrip().format_map(figures))
    marks = tuple(dict.fromkeys(_mark(sign) for sign in step.signs))
    return StepView(
        step.key.format_map(figures),
        say,
        step.why.format_map(figures),
        step.caution.format_map(figures),
        marks,
    )


def _mark(sign: Sign) -> str:
    return f"{register().mark[sign.source]} {sign.section}".rstrip()


def _gear_notes(
    gear: Sequence[GearView], facts: BoatFacts, policy: Policy, catalogue: Catalogue
) -> Iterator[str]:
    """What is said of the gear before it is listed: what is not ordered, and what no list has."""
    if not gear:
        return
    wanting = sum(not item.in_kit for item in gear)
    if wanting:
        what = "This is not" if wanting == len(gear) else "Not all of this is"
        yield (
            f"{what} in the order: it is advised, not a must. Have it aboard before you try it, or ask "
            "for it before the order closes."
        )
    if not blocks_hold(facts.recovery, facts.figures, policy, catalogue):
        yield "The pull is too much for the blocks named here: have stronger ones sized."


def _gear(facts: BoatFacts, catalogue: Catalogue) -> Iterator[GearView]:
    """The ropes of her recovery, largest first, and what goes with them, as the order has them."""
    kit = {piece.purpose: piece.length_m for piece in facts.pieces if piece.kind == "rope"}
    ordered = facts.getting.ordered
    items = {piece.item for piece in facts.pieces if ordered}
    for rope in facts.recovery:
        name = (
            catalogue.ropes.name[rope.rope] if rope.rope >= 0 else "no rope of the catalogue is strong enough"
        )
        yield GearView(
            rope.gear,
            rope.pieces,
            shown(kit.get(rope.gear) or rope.cut_m, "length"),
            name,
            ordered and rope.gear in kit,
        )
    for part in small_parts(facts.told.haul):
        length = shown(float(part.amount), "length") if part.item.unit == "m" else None
        pieces = 1 if length else int(part.amount)
        name, _, more = part.item.description.partition(" for " if part.item.kind == "block" else ", ")
        yield GearView(name, pieces, length, more, part.item.id in items)
