"""What the columns of the sizing table mean, and where their figures come from."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True)
class ColumnNote:
    """One column. A place in `name` for a section's number is written #.

    `decimals` is how many a figure has in the CSV file; None where the column holds no figures of its own.
    """

    name: str
    unit: str
    meaning: str
    source: str
    decimals: int | None = None

    def describes(self, column: str) -> bool:
        """Whether this is the note of the table's `column`."""
        return re.fullmatch(re.escape(self.name).replace(r"\#", r"\d+"), column) is not None


SIZING_COLUMNS: Final = (
    ColumnNote("entry_no", "", "Entry number, as entered.", "[entry sheet]"),
    ColumnNote("boat_name", "", "Name, as entered.", "[entry sheet]"),
    ColumnNote("displacement_kg", "kg", "Displacement every figure is worked from.", "[ISO 8666]", 1),
    ColumnNote(
        "displacement_basis",
        "",
        "loaded: as entered. light: times the policy's loading factor. not stated: taken as loaded; what "
        "only that would meet is unproven, and a finding asks.",
        "[ISO 8666; loading factor assumed, policy]",
    ),
    ColumnNote("cones", "cones", "Cones needed, at the policy's mouth.", "[CG87 6.1]", 0),
    ColumnNote("design_load_n", "N", "Largest load of a very severe breaking-wave strike.", "[CG87 6.2]", 0),
    ColumnNote(
        "strike_peak_n",
        "N",
        "Largest load at the bridle in the simulated strike on the rig needed; a simulation with one "
        "calibrated value. Empty: no figure can be given, and her page says why.",
        "[CG87 5.3, 6.2; face slope calibrated at 7,500 lb; added mass, entrained water and damping assumed]",
        0,
    ),
    ColumnNote("lead_line_mm", "mm", "Diameter of the lead line.", "[CG87 6.3; UFC Table 6-8; policy]", 1),
    ColumnNote("lead_line_m", "m", "Finished length of the lead line.", "[practice; policy]", 3),
    ColumnNote(
        "section_#_mm",
        "mm",
        "Diameter of this section of the cone line; 1 is nearest the boat.",
        "[derived from CG87; UFC Table 6-8; policy]",
        1,
    ),
    ColumnNote(
        "section_#_cones", "cones", "Cones on this section.", "[CG87 6.1; sharing by strength, policy]", 0
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
        1,
    ),
    ColumnNote("bridle_leg_m", "m", "Finished length of each bridle leg.", "[practice; policy]", 3),
    ColumnNote("end_weight_kg", "kg", "Mass of the end weight.", "[CG87 6.3; policy]", 2),
    ColumnNote("attachment_load_n", "N", "Load each attachment has to hold.", "[CG87 6.3]", 0),
    ColumnNote("line_length_m", "m", "Lead line and cone line together.", "[CG87 4.1.1; practice]", 2),
    ColumnNote(
        "drift_low_mps",
        "m/s",
        "Drift through the water in the policy's wind, low end of its range.",
        "[derived; PYD, quoted; ORC VPP, quoted; HOERNER, memory; shapes assumed]",
        2,
    ),
    ColumnNote("drift_mps", "m/s", "The same with every figure in the middle of its range.", "[derived]", 2),
    ColumnNote(
        "drift_high_mps",
        "m/s",
        "The same at the high end: for room to leeward. Current comes on top.",
        "[derived]",
        2,
    ),
    ColumnNote(
        "stowed_mass_kg",
        "kg",
        "Mass of the whole drogue in its bag, dry.",
        "[masses of rope and parts assumed]",
        1,
    ),
    ColumnNote(
        "labour_hours", "h", "Hours of one practised person to make all of it.", "[practice; assumed]", 1
    ),
    ColumnNote(
        "open_shalls",
        "findings",
        "Checks that the rally requires and that are still to do: not enough, none aboard, or not shown.",
        "[policy]",
        0,
    ),
    ColumnNote("met", "findings", "Checks met, of those about something a person looks at.", "[policy]", 0),
    ColumnNote(
        "met_on_word",
        "findings",
        "Of those met, how many rest on the skipper's word alone, or on nothing that the sheet tells.",
        "[entry sheet]",
        0,
    ),
    ColumnNote(
        "published_range",
        "",
        "Displacement below, inside or above 7,500 to 60,000 lb. Outside it the published lines are "
        "extended, and nobody has tested them there. Empty where she has no figures.",
        "[CG87 6.1]",
    ),
    ColumnNote(
        "source_hull",
        "",
        "Whether her hull type is inside what the source is about, sailing monohulls, or outside it: then "
        "every figure taken from the source deserves more care. Empty where she has no figures.",
        "[CG87 6.1, 7.0]",
    ),
    ColumnNote("not_computed", "", "Why she has no figures; empty where she has.", ""),
)


FINDING_COLUMNS: Final = (
    ColumnNote("entry_no", "", "Entry number, as entered.", "[entry sheet]"),
    ColumnNote("boat_name", "", "Name, as entered.", "[entry sheet]"),
    ColumnNote("check", "", "Id of the check.", "[policy]"),
    ColumnNote("level", "", "shall: required. should: advised.", "[policy]"),
    ColumnNote(
        "standing",
        "",
        "How she stands. meets: shown. short: not enough. absent: none aboard. unproven: not shown, never a "
        "pass. waived: set aside by an officer.",
        "[policy]",
    ),
    ColumnNote("required", "of its row", "What is asked, in the unit of its row.", "of its row"),
    ColumnNote("found", "of its row", "What is aboard, in the unit of its row.", "[entry sheet]"),
    ColumnNote(
        "advised",
        "of its row",
        "What is advised besides: nine in ten varied simulated strikes on her gear stay below it.",
        "[CG87 5.3; calibrated; assumed]",
    ),
    ColumnNote("advised_standing", "", "How she stands to that; empty where there is none.", "[policy]"),
    ColumnNote("unit", "", "Unit of the figures; empty for a count or a share.", ""),
    ColumnNote("margin_percent", "%", "Found over required; negative is short, or too much.", "[derived]"),
    ColumnNote("asks", "", "What the check asks for.", ""),
    ColumnNote(
        "sentence", "", "What is so, in words; empty where nothing is to do, which `standing` says.", ""
    ),
    ColumnNote("note", "", "What else is to be said of her.", ""),
    ColumnNote("remedy", "", "What to do about it; empty where nothing is to do.", ""),
    ColumnNote("source", "", "On whose word it is asked.", ""),
)
ORDER_COLUMNS: Final = (
    ColumnNote("item", "", "Item of the catalogue.", "[catalogue]"),
    ColumnNote("description", "", "What it is.", "[catalogue]"),
    ColumnNote("supplier", "", "Who sells it; club stock is not bought.", "[price book]"),
    ColumnNote("unit", "", "Unit of the amounts of its row.", "[catalogue]"),
    ColumnNote("needed", "of its row", "What the boats' pieces add up to.", "[derived]"),
    ColumnNote("spare", "of its row", "What comes on top.", "[policy]"),
    ColumnNote("pack_size", "of its row", "Units in a pack.", "[price book]"),
    ColumnNote("packs", "packs", "Whole packs to buy.", "[derived]"),
    ColumnNote("ordered", "of its row", "Packs times their size.", "[derived]"),
    ColumnNote("pack_price", "currency", "Price of a pack; empty where none is known.", "[price book]"),
    ColumnNote("amount", "currency", "Packs times their price.", "[price book]"),
    ColumnNote("lead_days", "days", "Days from order to delivery.", "[price book]"),
    ColumnNote("boats", "boats", "Boats that need some of it.", "[derived]"),
    ColumnNote("note", "", "What else is to be said of it.", ""),
)


def notes_for(columns: Iterable[str], known: Sequence[ColumnNote]) -> dict[str, ColumnNote]:
    """Return column -> its note, of those `known`; KeyError for a column without one."""
    found: dict[str, ColumnNote] = {}
    for column in columns:
        note = next((note for note in known if note.describes(column)), None)
        if note is None:
            raise KeyError(column)
        found[column] = note
    return found
