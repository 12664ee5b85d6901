"""The figures of a boat's page: each with its unit in both systems, its source, and its mark."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Final

from sitegen.boat_facts import BoatFacts
from sitegen.pages.parts import Figure, money, shown
from sitegen.plain_text import visible
from sizing.catalogue import Catalogue
from sizing.drogue.joint_text import joint_text
from sizing.fields import FIELD_BY_NAME
from sizing.model import BY_THE_BRIDLE, Entry, Requirement
from sizing.order import known_items
from sizing.policy import Policy
from sizing.spoken import NOT_KNOWN_YET, needed
from sizing.units import Shown
from sizing.words import in_plain_words

# Column of the requirement, label, dimension, source, and whether it comes from CG87: such figures carry
# her marks where displacement or hull type is outside it.
DROGUE: Final = (
    ("displacement_used_kg", "Displacement used", "mass", "[ISO 8666]", False),
    ("equivalent_diameter_m", "Diameter of an equal single drogue", "length", "[CG87 6.1]", True),
    ("mouth_area_required_m2", "Drag area required", "area", "[CG87 6.1]", True),
    ("cones", "Cones", "count", "[CG87 6.1]", True),
    ("cone_mouth_m", "Mouth of one cone", "small_length", "[policy]", False),
    ("line_strength_required_n", "Strength the line needs when new", "force", "[CG87 6.3]", True),
    ("lead_length_m", "Lead line", "length", "[practice]", False),
    ("line_length_m", "Whole line, bridle to end thimble", "length", "[practice]", True),
    ("bridle_leg_m", "Each bridle leg, finished", "length", "[practice]", False),
    ("bridle_leg_cut_m", "Each bridle leg, as cut", "length", "[practice]", False),
    ("end_weight_kg", "End weight", "mass", "[policy; CG87 6.3]", True),
    ("cloth_areal_mass_kg_m2", "Cone cloth", "areal_mass", "[CG87 6.3]", True),
    ("stowed_mass_kg", "Mass when stowed, without end weight", "mass", "[derived; masses assumed]", True),
    ("stowed_volume_m3", "Volume when stowed", "volume", "[assumed]", True),
)  # fmt: skip
AS_NEEDED: Final = frozenset({
    "line_strength_required_n", "lead_length_m", "line_length_m", "bridle_leg_m", "bridle_leg_cut_m",
    "end_weight_kg",    "design_load_n", "attachment_load_n", "chosen_attachment_n",
})  # fmt: skip
"""Columns that are told rounded up, as on cards and papers; the workings have them exact."""
FEEL: Final = (
    ("design_load_n", "Design load", "force", "[CG87 6.2]", True),
    ("attachment_load_n", "Each strong point must hold", "force", "[CG87 6.3]", True),
    ("chosen_attachment_n", "New strong points are chosen for", "force",
     "[CG87 6.2, 6.3; calibrated; assumed]", True),
)  # fmt: skip


WAITING: Final = BY_THE_BRIDLE | {"whole_length_m"}
WAITS_FOR_WIDTH: Final = f"{NOT_KNOWN_YET}: how wide your transom is"


@dataclass(frozen=True)
class SectionRow:
    """One section of the line as shown."""

    name: str
    rope: str
    derived: bool
    diameter: Shown | None
    cones: str
    small_end: Shown | None
    own_pattern: bool
    length: Shown | None
    cut: Shown | None
    tension: Shown | None
    strength: Shown | None


@dataclass(frozen=True)
class FitView:
    """A part and the opening it goes through, as shown."""

    part: str
    part_size: Shown | None
    opening: str
    opening_size: Shown | None
    room: Shown | None


@dataclass(frozen=True)
class JointView:
    """One joint of her rig as shown."""

    place: str
    name: str
    joined_by: str
    strength: str
    closing: str
    fits: tuple[FitView, ...]
    source: str


@dataclass(frozen=True)
class KitRow:
    """One line of her kit list: what it is in words, and its id in the order."""

    item: str
    description: str
    purpose: str
    quantity: int
    length: Shown | None
    spools: str


@dataclass(frozen=True)
class WorkingView:
    """How one figure was worked out, as shown."""

    title: str
    value: Shown | None
    formula: str
    inputs: tuple[tuple[str, Shown | None], ...]
    source: str
    range_mark: str


@dataclass(frozen=True)
class ShareRow:
    """What one thing of the order costs her, as shown."""

    description: str
    amount: str


@dataclass(frozen=True)
class AsWritten:
    """One cell of the form as it stood."""

    column: str
    text: str


def particulars(entry: Entry) -> tuple[Figure, ...]:
    """Return the boat's own measures."""
    basis = {"light": "light, as built", "loaded": "loaded"}.get(
        entry.displacement_basis or "", "basis not stated"
    )
    rows = [
        Figure("Length of hull", shown(entry.loa_m, "length")),
        Figure(
            "Transom width",
            shown(entry.transom_width_m, "length"),
            NOT_KNOWN_YET if entry.transom_width_m is None else "",
        ),
        Figure("Displacement", shown(entry.displacement_kg, "mass"), basis),
        Figure("Waterline", shown(entry.lwl_m, "length")),
        Figure("Beam", shown(entry.beam_m, "length")),
    ]
    return tuple(row for row in rows if row.value is not None or row.words)


# What a reader wants at once, rounded as people use it: label, column, dimension.
DROGUE_KEY: Final = (
    ("Cones", "cones", "count"),
    ("Whole line, legs to weight", "whole_length_m", "length"),
    ("Lead line", "lead_length_m", "length"),
    ("Each leg of the bridle", "bridle_leg_m", "length"),
    ("End weight", "end_weight_kg", "mass"),
)
FEEL_KEY: Final = (
    ("Worst pull planned for", "design_load_n", "force"),
    ("Each strong point must hold", "attachment_load_n", "force"),
    ("New strong points are chosen for", "chosen_attachment_n", "force"),
)


def drogue_key(facts: BoatFacts) -> tuple[Figure, ...]:
    """Return the few figures of her drogue that are wanted at once."""
    return tuple(_key({**facts.figures, "whole_length_m": facts.whole_length_m}, DROGUE_KEY))


def feel_key(facts: BoatFacts) -> tuple[Figure, ...]:
    """Return the few loads that are wanted at once."""
    return tuple(_key(facts.figures, FEEL_KEY))


def _key(figures: Mapping[str, float], table: tuple[tuple[str, str, str], ...]) -> Iterator[Figure]:
    for label, column, dimension in table:
        figure = needed(figures.get(column), dimension)
        if figure is not None:
            yield Figure(label, figure)
        elif column in WAITING and figures:
            yield Figure(label, None, WAITS_FOR_WIDTH)


def drogue_figures(facts: BoatFacts, catalogue: Catalogue) -> tuple[Figure, ...]:
    """Return what her drogue should be."""
    rows, mark = list(_rows(facts, DROGUE)), marks_of(facts)
    if facts.bridle_rope:
        rows.append(Figure("Bridle rope", None, facts.bridle_rope, "[CG87 6.3]", mark))
    if facts.thimble:
        rows.append(Figure("Thimbles of bridle and lead line", None, facts.thimble, "[CG87 6.3]", mark))
    return tuple(rows)


def marks_of(facts: BoatFacts) -> str:
    """What stands beside every figure of hers that comes from the source; empty inside its range."""
    return "; ".join(facts.requirement.marks)


def feel_figures(facts: BoatFacts) -> tuple[Figure, ...]:
    """Return the loads she will meet."""
    return _rows(facts, FEEL)


def _rows(facts: BoatFacts, table: tuple[tuple[str, str, str, str, bool], ...]) -> tuple[Figure, ...]:
    mark, rows = marks_of(facts), []
    for column, label, dimension, source, marked in table:
        if column not in facts.figures:
            if column in WAITING and facts.computed:
                rows.append(Figure(label, None, WAITS_FOR_WIDTH))
            continue
        value = facts.figures[column]
        figure = needed(value, dimension) if column in AS_NEEDED else shown(value, dimension)
        rows.append(Figure(label, figure, "", source, mark if marked else ""))
    return tuple(rows)


def section_rows(facts: BoatFacts, policy: Policy, catalogue: Catalogue) -> tuple[SectionRow, ...]:
    """Return the line's sections from the boat outward."""
    usual_m = policy.sizing.cone_small_end
    ropes = {rope_id: (name, bool(derived)) for rope_id, name, derived in
             zip(catalogue.ropes.id, catalogue.ropes.name, catalogue.ropes.derived, strict=True)}  # fmt: skip
    rows = []
    for section in facts.requirement.sections:
        name, derived = ropes[section.rope_id]
        rows.append(
            SectionRow(
                name=section.name,
                rope=name,
                derived=derived,
                diameter=shown(section.diameter_m, "small_length"),
                cones=str(section.cones) if section.cones else "none",
                small_end=shown(section.small_end_m, "small_length"),
                own_pattern=section.cones > 0 and section.small_end_m > usual_m,
                length=needed(section.length_m, "length"),
                cut=needed(section.cut_length_m, "length"),
                tension=needed(section.head_tension_n, "force"),
                strength=needed(section.strength_n, "force"),
            )
        )
    return tuple(rows)


def joint_views(facts: BoatFacts) -> tuple[JointView, ...]:
    """Return what joins her rig, in the words of the kit's papers, sizes in the reader's units."""
    return tuple(
        JointView(
            joint.place,
            in_plain_words(joint.name),
            joint.joined_by,
            joint.strength,
            joint.closing,
            tuple(
                FitView(
                    fit.part,
                    shown(fit.part_m, "small_length"),
                    fit.opening,
                    shown(fit.opening_m, "small_length"),
                    shown(fit.room_m, "small_length"),
                )
                for fit in joint.fits
            ),
            joint.source,
        )
        for joint in map(joint_text, facts.joints)
    )


def kit_rows(facts: BoatFacts, catalogue: Catalogue) -> tuple[KitRow, ...]:
    """Return the parts ordered for her, with the spools her rope is cut from."""
    known = known_items(catalogue)
    spools: dict[tuple[str, str], set[int]] = defaultdict(set)
    for cut in facts.cuts:
        spools[cut.item, cut.purpose].add(cut.spool_no)
    rows = []
    for piece in facts.pieces:
        numbers = sorted(spools.get((piece.item, piece.purpose), ()))
        words = f"spool {', '.join(map(str, numbers))}" if numbers else ""
        rows.append(
            KitRow(
                visible(piece.item),
                visible(known[piece.item].description if piece.item in known else piece.item),
                visible(in_plain_words(piece.purpose.removeprefix("for "))),
                piece.quantity,
                shown(piece.length_m, "length"),
                words,
            )
        )
    return tuple(rows)


def working_views(requirement: Requirement) -> tuple[WorkingView, ...]:
    """Return every working as shown."""
    return tuple(
        WorkingView(
            work.title,
            shown(work.value, work.dimension),
            work.formula,
            tuple((name, shown(value, dimension)) for name, value, dimension in work.inputs),
            work.source,
            work.range_mark,
        )
        for work in requirement.workings
    )


def as_written_rows(entry: Entry) -> tuple[AsWritten, ...]:
    """Return the form's cells as they stood, without contact details."""
    return tuple(
        AsWritten(FIELD_BY_NAME[column].label, visible(text))
        for column, text in entry.as_written.items()
        if text.strip()
    )


def share_rows(facts: BoatFacts) -> tuple[ShareRow, ...]:
    """Return what her share of the order rests on, thing by thing."""
    currency = facts.share.currency
    return tuple(
        ShareRow(visible(line.description), money(line.amount, currency)) for line in facts.share.lines
    )
