"""One joint as it is told to people: the same words on the boat's page and in the kit's papers."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from sizing.model import Joint
from sizing.units import both
from sizing.words import in_plain_words

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
        """The whole of it for paper, in both systems.

        >>> FitText("Pin", 0.016, "inside width of a link", 0.0192, 0.0032).sentence
        'Pin 16 mm (0.63 in), inside width of a link 19.2 mm (0.756 in): 3.2 mm (0.126 in) left.'
        """
        part, opening, room = (
            both(size, "small_length") for size in (self.part_m, self.opening_m, self.room_m)
        )
        return f"{self.part} {part}, {self.opening} {opening}: {room} left."


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
        name=_sentence_case(in_plain_words(joint.name)),
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
    asked = both(joint.strength_required_n, "force")
    return f"{each} at {both(joint.strength_n, 'force')} or more; {asked} is asked for."


def _sentence_case(text: str) -> str:
    return f"{text[0].upper()}{text[1:]}"
