"""What the catalogue holds: one frozen table of columns for each kind of part, SI units."""

from __future__ import annotations

from dataclasses import dataclass

from sizing.model import BoolArray, FloatArray

Words = tuple[str, ...]


@dataclass(frozen=True)
class Parts:
    """What every table begins with, a row for each part."""

    id: Words
    name: Words

    def __len__(self) -> int:
        return len(self.id)


@dataclass(frozen=True)
class Ropes(Parts):
    """One ladder of rope sizes, thinnest first; every figure rises from row to row.

    `average_strength_n` and `minimum_strength_n` are breaking strengths new, dry and without terminations;
    `ea_n` is axial stiffness (force per unit strain); `derived` marks rows computed and not published.
    """

    construction: Words
    diameter_m: FloatArray
    circumference_m: FloatArray
    average_strength_n: FloatArray
    minimum_strength_n: FloatArray
    ea_n: FloatArray
    mass_kg_per_m: FloatArray
    derived: BoolArray
    source: Words
    note: Words


@dataclass(frozen=True)
class Shackles(Parts):
    """Forged bow shackles, weakest first; the working load limit is a mass, as it is stamped.

    `body_m` is the thickness of the bow, `jaw_m` the inside width at the pin, `bow_m` the widest inside the
    bow, `inside_length_m` from the pin to the crown of the bow. `read` says what was read of the figures.
    """

    working_load_limit_kg: FloatArray
    body_m: FloatArray
    pin_m: FloatArray
    jaw_m: FloatArray
    bow_m: FloatArray
    inside_length_m: FloatArray
    breaking_load_n: FloatArray
    mass_kg: FloatArray
    read: Words
    source: Words
    note: Words


@dataclass(frozen=True)
class Bolts(Parts):
    """Coarse metric threads, thinnest first."""

    size_m: FloatArray
    pitch_m: FloatArray
    stress_area_m2: FloatArray
    source: Words


@dataclass(frozen=True)
class BoltGrades(Parts):
    """Bolt materials; `id` is the grade as it is stamped ("A4-70").

    `shear_factor` is shear over tensile strength with the thread in the shear plane.
    """

    tensile_strength_pa: FloatArray
    shear_factor: FloatArray
    read: Words
    source: Words


@dataclass(frozen=True)
class Cloths(Parts):
    """Cone cloths; `cone_cloth` is the word of the entry sheet ("light rip-stop", "heavy"), one row each."""

    cone_cloth: Words
    areal_mass_kg_m2: FloatArray
    width_m: FloatArray
    source: Words
    note: Words


@dataclass(frozen=True)
class Tapes(Parts):
    """Tapes that hold a cone to the line; the first row is the one used."""

    width_m: FloatArray
    breaking_load_n: FloatArray
    mass_kg_per_m: FloatArray
    source: Words
    note: Words


@dataclass(frozen=True)
class Thimbles(Parts):
    """Thimbles by the thickest rope they take, smallest first.

    `groove_m` is the width that holds the rope, `inside_width_m` the clear width of the opening (the hole of
    a solid one), `across_m` the thickness from face to face, which goes between the jaws of a shackle,
    `crown_m` how far rope and metal stand up from the bearing surface.
    """

    thimble_type: Words
    rope_diameter_m: FloatArray
    groove_m: FloatArray
    inside_width_m: FloatArray
    across_m: FloatArray
    crown_m: FloatArray
    mass_kg: FloatArray
    read: Words
    source: Words
    note: Words


@dataclass(frozen=True)
class EndWeights(Parts):
    """Short-link chain that is cut to length as an end weight, lightest first.

    `size_m` is the thickness of a link's wire, `inside_width_m` the clear width inside a link.
    """

    size_m: FloatArray
    inside_width_m: FloatArray
    pitch_m: FloatArray
    breaking_load_n: FloatArray
    mass_kg_per_m: FloatArray
    read: Words
    source: Words
    note: Words


@dataclass(frozen=True)
class ChafeSleeves(Parts):
    """Sleeves by the thickest rope they take, smallest first."""

    rope_diameter_m: FloatArray
    mass_kg_per_m: FloatArray
    source: Words
    note: Words


@dataclass(frozen=True)
class Bags(Parts):
    """Stowage bags, smallest first."""

    volume_m3: FloatArray
    mass_kg: FloatArray
    source: Words
    note: Words


@dataclass(frozen=True, eq=False)
class Catalogue:
    """All parts a rig is chosen from; `sha256` is over the bytes of every table, in the order below.

    Two are one only if they are the same object, so that what is worked out of one can be kept.
    """

    ropes: Ropes
    shackles: Shackles
    bolts: Bolts
    bolt_grades: BoltGrades
    cloths: Cloths
    tapes: Tapes
    thimbles: Thimbles
    end_weights: EndWeights
    chafe_sleeves: ChafeSleeves
    bags: Bags
    sha256: str
