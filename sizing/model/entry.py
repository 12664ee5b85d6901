"""Boats as entered, rows that could not be taken, and what was made of each cell."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np

from sizing.fields import CHOICES, FIELDS
from sizing.model.arrays import BoolArray, CodeArray, FloatArray, IntArray

if TYPE_CHECKING:
    import polars as pl

RemarkKind = Literal["interpretation", "warning"]


@dataclass(frozen=True)
class RowError:
    """One thing wrong with one row: where, what was found, what is expected, how to mend it."""

    row_no: int
    line_no: int
    column: str
    column_letter: str
    code: str
    found: str
    expected: str
    mend: str

    @property
    def sentence(self) -> str:
        """The whole message as one line."""
        where = f"row {self.row_no} (line {self.line_no})"
        if self.column:
            where += f", column {self.column_letter} “{self.column}”"
        return f"{where}: {self.found}. Expected: {self.expected}. To mend it: {self.mend}."


@dataclass(frozen=True)
class RejectedRow:
    """A row that could not be taken, whole, with everything that is wrong with it."""

    row_no: int
    line_no: int
    cells: tuple[str, ...]
    errors: tuple[RowError, ...]


@dataclass(frozen=True)
class Remark:
    """One interpretation or warning, over all rows it concerns.

    `rows` indexes accepted boats. `sentences` has one text for all rows, or one for each.
    """

    kind: RemarkKind
    code: str
    column: str
    rows: IntArray
    sentences: tuple[str, ...]

    def sentence_of(self, row: int) -> str | None:
        """The text for accepted boat `row`, or None if the remark is not about her."""
        place = int(np.searchsorted(self.rows, row))
        if place == len(self.rows) or self.rows[place] != row:
            return None
        return self.sentences[0] if len(self.sentences) == 1 else self.sentences[place]


@dataclass(frozen=True)
class Gear:
    """What is aboard, as entered; None where the sheet says nothing. SI units."""

    device_type: str | None
    cone_count: int | None
    cone_mouth_m: float | None
    cone_pitch_m: float | None
    device_diameter_m: float | None
    lead_line_length_m: float | None
    lead_line_diameter_m: float | None
    section_diameters_m: tuple[float, ...]
    line_material: str | None
    line_state: str | None
    line_ends: str | None
    bridle_leg_length_m: float | None
    bridle_diameter_m: float | None
    end_weight_kg: float | None
    attachment_type: str | None
    attachment_rating_n: float | None
    attachment_bolts: str | None
    thimble_type: str | None
    shackle_rating_n: float | None
    chafe_gear: str | None
    stowed_ready: bool | None
    made_year: int | None
    last_inspected: str | None
    condition: str | None
    device_from: str | None
    cone_cloth: str | None
    section_joints: str | None
    bridle_leg_difference_m: float | None
    attachment_lead: str | None
    attachment_place: str | None
    structure_survey: str | None
    swivel: str | None
    swivel_rating_n: float | None
    shackles_moused: bool | None
    within_reach: bool | None
    retrieval: str | None
    evidence: str | None
    evidence_date: str | None


@dataclass(frozen=True)
class Entry:
    """One boat as entered and validated. SI units; None where the sheet says nothing."""

    row: int
    row_no: int
    entry_no: str
    boat_name: str
    sail_no: str
    skipper: str
    berth: str
    boat_type: str
    design: str
    loa_m: float
    lwl_m: float | None
    beam_m: float | None
    transom_width_m: float
    displacement_kg: float
    displacement_basis: str | None
    windage_area_m2: float | None
    notes: str
    gear: Gear
    as_written: Mapping[str, str]
    remarks: tuple[str, ...]
    warnings: tuple[str, ...]


@dataclass(frozen=True)
class FleetColumns:
    """Accepted boats as columns, in the order of the file.

    number:
        SI name -> float array, NaN where blank. Every quantity, count and made_year;
        `section_diameters_m` is not here but in `section_diameters_m` below; `bolt_count`, `bolt_size_mm`
        and `bolt_tensile_pa` come from attachment_bolts; a date is a proleptic ordinal under its
        name with `_day` (`last_inspected_day`); a yes/no is 1, 0 or NaN.
    choice:
        name -> int8 code into `fields.CHOICES[name]`, -1 where blank.
    text:
        one row a boat: text columns cleaned (blank is ""), as a polars frame.
    as_written:
        the accepted rows exactly as they stood, canonical names for known columns.
    extra_columns:
        headers that are not ours, kept in `as_written` and reported.
    section_diameters_m:
        (n, 3) NaN-padded.
    """

    row_no: IntArray
    line_no: IntArray
    number: Mapping[str, FloatArray]
    choice: Mapping[str, CodeArray]
    text: pl.DataFrame
    as_written: pl.DataFrame
    section_diameters_m: FloatArray
    remarks: tuple[Remark, ...] = ()
    extra_columns: tuple[str, ...] = ()

    def __len__(self) -> int:
        return len(self.row_no)

    def choice_words(self, name: str, row: int) -> str | None:
        """The chosen word of column `name` for boat `row`, None where blank."""
        code = int(self.choice[name][row])
        return None if code < 0 else CHOICES[name][code]

    def chosen(self, name: str, *words: str) -> BoolArray:
        """Boats whose sheet says one of `words` in choice column `name`; (n,)."""
        codes = self.choice[name]
        found = np.zeros(len(self), dtype=np.bool_)
        for word in words:
            found |= codes == CHOICES[name].index(word)
        return found

    def value(self, si_name: str, row: int) -> float | None:
        """The SI value of `si_name` for boat `row`, None where blank."""
        value = float(self.number[si_name][row])
        return None if np.isnan(value) else value

    def remarks_of(self, row: int, kind: RemarkKind) -> tuple[str, ...]:
        """All interpretations or warnings about boat `row`, in order."""
        found = (remark.sentence_of(row) for remark in self.remarks if remark.kind == kind)
        return tuple(text for text in found if text is not None)

    def entry(self, row: int) -> Entry:
        """Boat `row` as a single object."""
        text = self.text.row(row, named=True)
        written = self.as_written.row(row, named=True)
        sections = self.section_diameters_m[row]
        gear = Gear(
            device_type=self.choice_words("device_type", row),
            cone_count=_whole(self.value("cone_count", row)),
            cone_mouth_m=self.value("cone_mouth_m", row),
            cone_pitch_m=self.value("cone_pitch_m", row),
            device_diameter_m=self.value("device_diameter_m", row),
            lead_line_length_m=self.value("lead_line_length_m", row),
            lead_line_diameter_m=self.value("lead_line_diameter_m", row),
            section_diameters_m=tuple(float(d) for d in sections[~np.isnan(sections)]),
            line_material=self.choice_words("line_material", row),
            line_state=self.choice_words("line_state", row),
            line_ends=self.choice_words("line_ends", row),
            bridle_leg_length_m=self.value("bridle_leg_length_m", row),
            bridle_diameter_m=self.value("bridle_diameter_m", row),
            end_weight_kg=self.value("end_weight_kg", row),
            attachment_type=self.choice_words("attachment_type", row),
            attachment_rating_n=self.value("attachment_rating_n", row),
            attachment_bolts=(written.get("attachment_bolts") or "").strip() or None,
            thimble_type=self.choice_words("thimble_type", row),
            shackle_rating_n=self.value("shackle_rating_n", row),
            chafe_gear=self.choice_words("chafe_gear", row),
            stowed_ready=_yes(self.value("stowed_ready", row)),
            made_year=_whole(self.value("made_year", row)),
            last_inspected=(written.get("last_inspected") or "").strip() or None,
            condition=self.choice_words("condition", row),
            device_from=self.choice_words("device_from", row),
            cone_cloth=self.choice_words("cone_cloth", row),
            section_joints=self.choice_words("section_joints", row),
            bridle_leg_difference_m=self.value("bridle_leg_difference_m", row),
            attachment_lead=self.choice_words("attachment_lead", row),
            attachment_place=self.choice_words("attachment_place", row),
            structure_survey=self.choice_words("structure_survey", row),
            swivel=self.choice_words("swivel", row),
            swivel_rating_n=self.value("swivel_rating_n", row),
            shackles_moused=_yes(self.value("shackles_moused", row)),
            within_reach=_yes(self.value("within_reach", row)),
            retrieval=self.choice_words("retrieval", row),
            evidence=self.choice_words("evidence", row),
            evidence_date=(written.get("evidence_date") or "").strip() or None,
        )
        return Entry(
            row=row,
            row_no=int(self.row_no[row]),
            entry_no=text["entry_no"],
            boat_name=text["boat_name"],
            sail_no=text["sail_no"],
            skipper=text["skipper"],
            berth=text["berth"],
            boat_type=CHOICES["boat_type"][int(self.choice["boat_type"][row])],
            design=text["design"],
            loa_m=float(self.number["loa_m"][row]),
            lwl_m=self.value("lwl_m", row),
            beam_m=self.value("beam_m", row),
            transom_width_m=float(self.number["transom_width_m"][row]),
            displacement_kg=float(self.number["displacement_kg"][row]),
            displacement_basis=self.choice_words("displacement_basis", row),
            windage_area_m2=self.value("windage_area_m2", row),
            notes=text["notes"],
            gear=gear,
            as_written={f.name: written[f.name] for f in FIELDS if written.get(f.name) and not f.private},
            remarks=self.remarks_of(row, "interpretation"),
            warnings=self.remarks_of(row, "warning"),
        )


def _yes(value: float | None) -> bool | None:
    return None if value is None else bool(value)


def _whole(value: float | None) -> int | None:
    return None if value is None else int(value)


@dataclass(frozen=True)
class IntakeResult:
    """What became of every row of a fleet file.

    `header` is the file's own header row; `rejected` rows have as many cells. `file_notes` are said once for
    the whole file (encoding, delimiter, unknown columns, blank lines and totals rows left out).
    rows_in == len(fleet) + len(rejected), always.
    """

    header: tuple[str, ...]
    rows_in: int
    fleet: FleetColumns
    rejected: tuple[RejectedRow, ...]
    file_notes: tuple[str, ...]
    sha256: str
