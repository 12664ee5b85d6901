"""One boat's joints in words: what joins what, in which order it is closed, and the proof that all passes."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

from sizing.catalogue import Catalogue
from sizing.drogue.joints import (
    APEX,
    ATTACHMENT,
    END,
    EYE_THROUGH_EYE,
    FIRST_SECTION,
    LEAD,
    NONE_FITS,
    TWO_SHACKLES,
    JointColumns,
    RigEnds,
    joint_columns,
    required_ends,
)
from sizing.drogue.passing import CLEARANCE_M, PLATE_EDGE_PINS
from sizing.model import Joint, Passing, RequirementColumns
from sizing.policy import Policy

SHACKLED: Final = "[CG87 6.3] rating; [practice] kind of joint; sizes as the catalogue says"
THROUGH: Final = "[practice] no source; sizes as the catalogue says"
CLOSED: Final = "Do the pin up hard and mouse it with wire."


def connections(
    requirements: RequirementColumns, policy: Policy, catalogue: Catalogue, row: int
) -> tuple[Joint, ...]:
    """Return the joints of boat `row`'s required rig, in the order in which they are closed.

    None for a boat that was not computed. A joint for which the catalogue has no connector that all parts
    pass says so. [CG87 6.3; practice; assumed]
    """
    if row in requirements.not_computed:
        return ()
    ends = required_ends(requirements, catalogue, slice(row, row + 1))
    return joints_in_words(ends, joint_columns(ends, policy, catalogue), catalogue, 0)


def joints_in_words(
    ends: RigEnds, joints: JointColumns, catalogue: Catalogue, row: int, sections: Sequence[str] = ()
) -> tuple[Joint, ...]:
    """The joints of row `row` of such columns, in the order in which they are closed.

    Along the cone line while its eyes are made, then its end, then the bridle and the lead line, then the two
    together; the attachments last, on the boat. `sections` are the names of the sections, "section 1" and so
    on where none are given.
    """
    count = ends.section.shape[1]
    names = tuple(sections) or tuple(f"section {number}" for number in range(1, count + 1))
    order = (*range(FIRST_SECTION, FIRST_SECTION + count - 1), END, APEX, LEAD, ATTACHMENT)
    used = [joint for joint in order if joints.used[row, joint]]
    return tuple(
        replace(_Joined(ends, joints, catalogue, row, joint, names).in_words(), place=place)
        for place, joint in enumerate(used, 1)
    )


@dataclass(frozen=True)
class _Joined:
    """One joint of one rig, and the tables its sizes come from."""

    ends: RigEnds
    joints: JointColumns
    catalogue: Catalogue
    row: int
    joint: int
    sections: tuple[str, ...]

    @property
    def code(self) -> int:
        """What joins it."""
        return int(self.joints.connector[self.row, self.joint])

    @property
    def parts(self) -> tuple[str, str]:
        """The parts inboard and outboard of it."""
        if self.joint == END:
            return self.sections[int((self.ends.section[self.row] >= 0).sum()) - 1], "end weight"
        if self.joint >= FIRST_SECTION:
            inner = self.joint - FIRST_SECTION
            return self.sections[inner], self.sections[inner + 1]
        first = self.sections[0]
        return {ATTACHMENT: ("attachment", "bridle leg"), APEX: ("bridle leg", "lead line"),
                LEAD: ("lead line", first)}[self.joint]  # fmt: skip

    @property
    def shackles(self) -> list[int]:
        """Positions of its shackles; of two the second takes the link."""
        found = (self.joints.shackle[self.row, self.joint], self.joints.second[self.row, self.joint])
        return [int(place) for place in found if place >= 0]

    def thimble(self, part: str) -> int:
        """Position of the thimble in a part's eyes."""
        ends = {"bridle leg": self.ends.bridle, "lead line": self.ends.lead}.get(part)
        if ends is not None:
            return int(ends[self.row])
        return int(self.ends.section[self.row, self.sections.index(part)])

    def rope_m(self, part: str) -> float:
        """Diameter of a part's rope."""
        ends = {"bridle leg": self.ends.bridle_diameter_m, "lead line": self.ends.lead_diameter_m}.get(part)
        if ends is not None:
            return float(ends[self.row])
        return float(self.ends.section_diameter_m[self.row, self.sections.index(part)])

    def in_words(self) -> Joint:
        """The joint as it is told, its turn left open."""
        table = self.catalogue.shackles
        required_n = float(self.joints.strength_required_n[self.row, self.joint])
        tonnes = [f"{table.working_load_limit_kg[at] / 1000:g} t" for at in self.shackles]
        joint = Joint(
            parts=self.parts,
            count=int(self.joints.counts[self.joint]),
            place=0,
            kind="two shackles" if self.code == TWO_SHACKLES else "shackle",
            items=tuple(table.id[at] for at in self.shackles),
            connector=" and ".join(f"bow shackle WLL {load}" for load in tonnes),
            load_n=float(self.joints.load_n[self.row, self.joint]),
            strength_required_n=required_n,
            strength_n=min((float(table.breaking_load_n[at]) for at in self.shackles), default=required_n),
            proof=tuple(self.proof()),
            steps=self.shackle_steps(),
            asks=tuple(self.asks()),
            source=SHACKLED,
        )
        if self.code == NONE_FITS:
            return replace(
                joint,
                kind="none fits",
                connector="nothing of the catalogue that every part passes",
                strength_n=0.0,
                steps=("Have this joint designed: no part is ordered for it.",),
            )
        if self.code == EYE_THROUGH_EYE:
            inner, outer = self.parts
            return replace(
                joint,
                kind="eye through eye",
                connector=f"the eye of {_the(outer)} spliced through the eye of {_the(inner)}",
                steps=_splice_steps(inner, outer),
                source=THROUGH,
            )
        return joint

    def shackle_steps(self) -> tuple[str, ...]:
        """How the shackles of it are closed."""
        inner, outer = self.parts
        if self.joint == ATTACHMENT:
            said = "On the boat: the leg's thimble lies in the bow, the pin goes through the plate."
        elif self.joint == APEX:
            said = "The thimbles of both legs lie in the bow, the pin goes through that of the lead line."
        elif self.code == TWO_SHACKLES:
            small = "The pin of the smaller shackle goes through the last link of the chain."
            large = f"The bow of the larger goes round the outer thimble of {_the(inner)}"
            return small, f"{large}, its pin through the bow of the smaller.", CLOSED
        elif self.joint == END:
            said = f"The bow goes round the outer thimble of {_the(inner)}, the pin through the last link."
        else:
            said = (
                f"The thimble of {_the(inner)} lies in the bow, the pin goes through that of {_the(outer)}."
            )
        return said, CLOSED

    def proof(self) -> Iterator[Passing]:
        """Every part that goes through another at it, with both sizes."""
        if self.code == NONE_FITS:
            return
        inner, outer = self.parts
        t = self.catalogue.thimbles
        if self.joint == APEX:
            yield from self.groove_proof(inner)
        if self.joint not in (ATTACHMENT, END):
            yield from self.groove_proof(outer)
        if self.code == EYE_THROUGH_EYE:
            for one, other in ((inner, outer), (outer, inner)):
                across, inside = t.across_m[self.thimble(one)], t.inside_width_m[self.thimble(other)]
                yield Passing(f"thimble of {one}", float(across), f"opening of {other}'s", float(inside))
            return
        yield from self.bow_proof(outer if self.joint == ATTACHMENT else inner)
        if self.joint == END:
            yield from self.link_proof()
        elif self.joint != ATTACHMENT:
            yield from self.pin_proof(outer)

    def groove_proof(self, part: str) -> Iterator[Passing]:
        """The rope in its thimble, told where the first of its eyes is joined; not where it is not known."""
        diameter, groove = self.rope_m(part), self.catalogue.thimbles.groove_m[self.thimble(part)]
        if math.isfinite(diameter):
            yield Passing(f"rope of {_the(part)}", diameter, "groove of its thimble", float(groove))

    def bow_proof(self, part: str) -> Iterator[Passing]:
        """The thimble, or both legs' thimbles, in the bow, and all that lies between bow and pin."""
        s, t = self.catalogue.shackles, self.catalogue.thimbles
        at, thimble = self.shackles[0], self.thimble(part)
        both = self.joint == APEX
        words = "thimbles of both legs, side by side" if both else f"thimble of {_the(part)}"
        across = (2 if both else 1) * float(t.across_m[thimble])
        yield Passing(words, across, "inside of the bow", float(s.bow_m[at]))
        opening = float(t.inside_width_m[thimble])
        yield Passing("body of the shackle", float(s.body_m[at]), "opening of that thimble", opening)
        depth = float(t.crown_m[thimble]) + self.on_pin_m()
        length = float(s.inside_length_m[at])
        yield Passing("crown in the bow and what is on the pin", depth, "inside length", length)

    def on_pin_m(self) -> float:
        """How far what is on the pin stands up from it."""
        s, at = self.catalogue.shackles, self.shackles[0]
        if self.joint == ATTACHMENT:
            return PLATE_EDGE_PINS * float(s.pin_m[at])
        if self.code == TWO_SHACKLES:
            return float(s.body_m[self.shackles[1]])
        if self.joint == END:
            return float(self.catalogue.end_weights.size_m[self.joints.chain[self.row]])
        return float(self.catalogue.thimbles.crown_m[self.thimble(self.parts[1])])

    def pin_proof(self, part: str) -> Iterator[Passing]:
        """The thimble on the pin."""
        s, t = self.catalogue.shackles, self.catalogue.thimbles
        at, thimble = self.shackles[0], self.thimble(part)
        yield Passing(f"thimble of {_the(part)}", float(t.across_m[thimble]), "jaws", float(s.jaw_m[at]))
        yield Passing("pin", float(s.pin_m[at]), "opening of that thimble", float(t.inside_width_m[thimble]))

    def link_proof(self) -> Iterator[Passing]:
        """The last link of the end weight's chain on the pin; of two shackles on that of the smaller."""
        s, c = self.catalogue.shackles, self.catalogue.end_weights
        chain, at, small = int(self.joints.chain[self.row]), self.shackles[0], self.shackles[-1]
        link = float(c.inside_width_m[chain])
        yield Passing("pin", float(s.pin_m[small]), "inside width of a link", link)
        yield Passing("wire of a link", float(c.size_m[chain]), "jaws", float(s.jaw_m[small]))
        if self.code == TWO_SHACKLES:
            bow, jaws = float(s.bow_m[small]), float(s.jaw_m[at])
            yield Passing("pin of the larger", float(s.pin_m[at]), "bow of the smaller", bow)
            yield Passing("body of the smaller", float(s.body_m[small]), "jaws of the larger", jaws)

    def asks(self) -> Iterator[str]:
        """What the plate on the boat has to be like."""
        if self.joint != ATTACHMENT or self.code == NONE_FITS:
            return
        s, at = self.catalogue.shackles, self.shackles[0]
        pin_mm, room_mm = 1000 * float(s.pin_m[at]), 1000 * CLEARANCE_M
        hole = math.ceil(pin_mm + 2 * room_mm)
        thick = math.floor(1000 * float(s.jaw_m[at]) - room_mm)
        edge = math.floor(PLATE_EDGE_PINS * pin_mm)
        yield (
            f"Plate or eye at each strong point: hole at least {hole} mm, no thicker than {thick} mm there, "
            f"no more than {edge} mm from hole to edge. Measure there before the shackles are ordered."
        )


def _the(part: str) -> str:
    """A part with its article; a section with a number has none.

    >>> _the("lead line"), _the("section 1")
    ('the lead line', 'section 1')
    """
    return part if part.startswith("section ") else f"the {part}"


def _splice_steps(inner: str, outer: str) -> tuple[str, ...]:
    first, second = _the(inner), _the(outer)
    return (
        f"Only while the inner eye of {second} is still open. First thread the cones of {first}, then close "
        "its outer eye.",
        f"Open the thimble of {second} sideways, hang it in the thimble of {first}, close it again, and "
        f"splice the eye of {second} round it.",
        f"Thread the cones of {second} from its outer end, mouths first, and only then close its outer eye.",
    )
