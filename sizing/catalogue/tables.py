"""What the catalogue holds: one frozen table of columns for each kind of part, SI units."""

from __future__ import annotations

from dataclasses import dataclass

from sizing.model import BoolArray, FloatArray

Words = tuple[str, ...]


@dataclass(frozen=True)
class Ropes:
    """One ladder of rope sizes, thinnest first; every figure rises from row to row.

    `average_strength_n` and `minimum_strength_n` are breaking strengths new, dry and without terminations;
    `ea_n` is axial stiffness (force per unit strain); `derived` marks rows computed and not published.
    """

    id: Words
    name: Words
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

    def __len__(self) -> int:
        return len(self.id)


@dataclass(frozen=True)
class Shackles:
    """Forged bow shackles, weakest first; the working load limit is a mass, as it is stamped.

    `body_m` is the thickness of the bow, `jaw_m` the inside width at the pin, `bow_m` the widest inside the
    bow, `inside_length_m` from the pin to the crown of the bow. `read` says what was read of the figures.
    """

    id: Words
    name: Words
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

    def __len__(self) -> int:
        return len(self.id)


@dataclass(frozen=True)
class Bolts:
    """Coarse metric threads, thinnest first."""

    id: Words
    name: Words
    size_m: FloatArray
    pitch_m: FloatArray
    stress_area_m2: FloatArray
    source: Words

    def __len__(self) -> int:
        return len(self.id)


@dataclass(frozen=True)
class BoltGrades:
    """Bolt materials; `id` is the grade as it is stamped ("A4-70").

    `shear_factor` is shear over tensile strength with the thread in the shear plane.
    """

    id: Words
    name: Words
    tensile_strength_pa: FloatArray
    shear_factor: FloatArray
    read: Words
    source: Words

    def __len__(self) -> int:
        return len(self.id)


@dataclass(frozen=True)
class Cloths:
    """Cone cloths; `cone_cloth` is the word of the entry sheet ("light rip-stop", "heavy"), one row each."""

    id: Words
    name: Words
    cone_cloth: Words
    areal_mass_kg_m2: FloatArray
    width_m: FloatArray
    source: Words
    note: Words

    def __len__(self) -> int:
        return len(self.id)


@dataclass(frozen=True)
class Tapes:
    """Tapes that hold a cone to the line; the first row is the one used."""

    id: Words
    name: Words
    width_m: FloatArray
    breaking_load_n: FloatArray
    mass_kg_per_m: FloatArray
    source: Words
    note: Words

    def __len__(self) -> int:
        return len(self.id)


@dataclass(frozen=True)
class Thimbles:
    """Thimbles by the thickest rope they take, smallest first.

    `groove_m` is the width that holds the rope, `inside_width_m` the clear width of the opening (the hole of
    a solid one), `across_m` the thickness from face to face, which goes between the jaws of a shackle,
    `crown_m` how far rope and metal stand up from the bearing surface.
    """

    id: Words
    name: Words
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

    def __len__(self) -> int:
        return len(self.id)


@dataclass(frozen=True)
class EndWeights:
    """Short-link chain that is cut to length as an end weight, lightest first.

    `size_m` is the thickness of a link's wire, `inside_width_m` the clear width inside a link.
    """

    id: Words
    name: Words
    size_m: FloatArray
    inside_width_m: FloatArray
    pitch_m: FloatArray
    breaking_load_n: FloatArray
    mass_kg_per_m: FloatArray
    read: Words
    source: Words
    note: Words

    def __len__(self) -> int:
        return len(self.id)


@dataclass(frozen=True)
class ChafeSleeves:
    """Sleeves by the thickest rope they take, smallest first."""

    id: Words
    name: Words
    rope_diameter_m: FloatArray
    mass_kg_per_m: FloatArray
    source: Words
    note: Words

    def __len__(self) -> int:
        return len(self.id)


@dataclass(frozen=True)
class Bags:
    """Stowage bags, smallest first."""

    id: Words
    name: Words
    volume_m3: FloatArray
    mass_kg: FloatArray
    source: Words
    note: Words

    def __len__(self) -> int:
        return len(self.id)


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
