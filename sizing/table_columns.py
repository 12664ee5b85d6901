"""What the columns of the sizing table mean, and where their figures come from."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True)
class ColumnNote:
    """One column. A place in `name` for a section's number is written #."""

    name: str
    unit: str
    meaning: str
    source: str

    def describes(self, column: str) -> bool:
        """Whether this is the note of the table's `column`."""
        return re.fullmatch(re.escape(self.name).replace(r"\#", r"\d+"), column) is not None


SIZING_COLUMNS: Final = (
    ColumnNote("entry_no", "", "Entry number, as entered.", "[entry sheet]"),
    ColumnNote("boat_name", "", "Name, as entered.", "[entry sheet]"),
    ColumnNote("displacement_kg", "kg", "Displacement every figure is worked from.", "[ISO 8666]"),
    ColumnNote(
        "displacement_basis",
        "",
        "loaded: as entered. light: times the policy's loading factor. not stated: taken as loaded; what "
        "only that would meet is unproven, and a finding asks.",
        "[ISO 8666; loading factor assumed, policy]",
    ),
    ColumnNote("cones", "cones", "Cones needed, at the policy's mouth.", "[CG87 6.1]"),
    ColumnNote("design_load_n", "N", "Largest load of a very severe breaking-wave strike.", "[CG87 6.2]"),
    ColumnNote(
        "strike_peak_n",
        "N",
        "Largest load at the bridle in the simulated strike on the rig needed; a simulation with one "
        "calibrated value. Empty: no figure can be given, and her page says why.",
        "[CG87 5.3, 6.2; face slope calibrated at 7,500 lb; added mass, entrained water and damping assumed]",
    ),
    ColumnNote("lead_line_mm", "mm", "Diameter of the lead line.", "[CG87 6.3; UFC Table 6-8; policy]"),
    ColumnNote("lead_line_m", "m", "Finished length of the lead line.", "[practice; policy]"),
    ColumnNote(
        "section_#_mm",
        "mm",
        "Diameter of this section of the cone line; 1 is nearest the boat.",
        "[derived from CG87; UFC Table 6-8; policy]",
    ),
    ColumnNote(
        "section_#_cones", "cones", "Cones on this section.", "[CG87 6.1; sharing by strength, policy]"
    ),
    ColumnNote(
        "rope_strengths",
        "",
        "published: every rope of hers has its strength from a published row. derived: at least one has "
        "it from a row worked out by a formula; have the maker's certified figure before buying.",
        "[UFC Table 6-8; derived rows assumed]",
    ),
    ColumnNote(
        "bridle_mm",
        "mm",
        "Diameter of each bridle leg.",
        "[CG87 6.3; statics of two legs; UFC Table 6-8; policy]",
    ),
    ColumnNote("bridle_leg_m", "m", "Finished length of each bridle leg.", "[practice; policy]"),
    ColumnNote("end_weight_kg", "kg", "Mass of the end weight.", "[CG87 6.3; policy]"),
    ColumnNote("attachment_load_n", "N", "Load each attachment has to hold.", "[CG87 6.3]"),
    ColumnNote("line_length_m", "m", "Lead line and cone line together.", "[CG87 4.1.1; practice]"),
    ColumnNote(
        "stowed_mass_kg",
        "kg",
        "Mass of the whole drogue in its bag, dry.",
        "[masses of rope and parts assumed]",
    ),
    ColumnNote(
        "labour_hours", "h", "Hours of one practised person to make all of it.", "[practice; assumed]"
    ),
    ColumnNote(
        "open_shalls", "findings", "Findings of level shall that are short, absent or unproven.", "[policy]"
    ),
    ColumnNote(
        "published_range",
        "",
        "Displacement below, inside or above 7,500 to 60,000 lb. Outside it the published lines are "
        "extended, and nobody has tested them there. Empty where she has no figures.",
        "[CG87 6.1]",
    ),
    ColumnNote("not_computed", "", "Why she has no figures; empty where she has.", ""),
)


def notes_for(columns: Iterable[str]) -> list[ColumnNote]:
    """Return the notes of `columns` in their order, each once.

    Raises KeyError for a column without one.
    """
    found: dict[str, ColumnNote] = {}
    for column in columns:
        note = next((note for note in SIZING_COLUMNS if note.describes(column)), None)
        if note is None:
            raise KeyError(column)
        found.setdefault(note.name, note)
    return list(found.values())
