"""One joint as it is told to people: the same words on the boat's page and in the kit's papers."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from sizing.model import Joint
from sizing.spoken import small, spoken
from sizing.units import show

MEASURE_FIRST: Final = (
    "Sizes are those of the lists named in the catalogue: measure the parts in hand, and put them together "
    "on the bench before the last eye is closed. A part that does not go through is not filed or forced: "
    "tell the rally's office."
)
"""What stands under every list of joints."""


@dataclass(frozen=True)
class FitText:
    """One part and the opening it has to go through, with both sizes and what is left. m."""

    part: str
    part_m: float
    opening: str
    opening_m: float
    room_m: float

    @property
    def sentence(self) -> str:
        """The whole of it for paper: sizes as a rule shows them, what is left in millimetres.

        What is left is too little for a rule in inches: rounded to one it could be nothing, or twice as much.

        >>> FitText("Pin", 0.016, "inside width of a link", 0.0192, 0.0032).sentence
        'Pin 16 mm (5/8 in), inside width of a link 19.2 mm (¾ in): 3.2 mm left.'
        """
        left = show(self.room_m, "small_length").metric
        return f"{self.part} {small(self.part_m)}, {self.opening} {small(self.opening_m)}: {left} left."


@dataclass(frozen=True)
class JointText:
    """What joins two parts, how it is closed, what it holds, and what goes through what, tightest first."""

    place: str
    name: str
    joined_by: str
    closing: str
    strength: str
    fits: tuple[FitText, ...]
    source: str


def joint_text(joint: Joint) -> JointText:
    """Return a joint as it is told. A joint that nothing fits has no strength and no fits."""
    return JointText(
        place=str(joint.place),
        name=_sentence_case(joint.name),
        joined_by=joint.words,
        closing=" ".join((*joint.steps, *joint.asks)),
        strength=_strength(joint),
        fits=tuple(
            FitText(_sentence_case(fit.part), fit.part_m, fit.opening, fit.opening_m, fit.room_m)
            for fit in sorted(joint.proof, key=lambda passing: passing.room_m)
        ),
        source=joint.source,
    )


def _strength(joint: Joint) -> str:
    if not joint.items:
        return ""
    each = "Each breaks" if joint.count > 1 else "It breaks" if len(joint.items) == 1 else "The weaker breaks"
    asked, holds = spoken(joint.strength_required_n, "force"), spoken(joint.strength_n, "force", "down")
    return f"{each} at {holds} or more; {asked} is asked for."


def _sentence_case(text: str) -> str:
    return f"{text[0].upper()}{text[1:]}"
