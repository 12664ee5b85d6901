"""What a scrutineer counts, measures or reads of one boat's gear: claimed and needed, by the registers.

Which columns stand on the sheet, and in which part of it, is said where a column is declared
(`sizing.fields`); what is needed of it, and how it is looked at, where a check is declared (`sizing.audit`).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from types import MappingProxyType
from typing import Final

from sizing.audit import SPECS, needed_of
from sizing.audit.cases import READY
from sizing.catalogue import Catalogue
from sizing.field_kinds import Field
from sizing.fields import FIELD_BY_NAME, ON_SHEET
from sizing.model import Finding, FleetColumns, MendPlan, RequirementColumns, Standing
from sizing.order.loft.lengths_shown import small
from sizing.papers.claims import claimed, wanted_of
from sizing.spoken import spoken, spoken_if_known
from sizing.units import show

TO_BE_MADE: Final = "to be made"
BEFORE: Final = "(before the work)"
AS_CLAIMED: Final = "as claimed, {} hangs on it"
_OF_A_ROPE: Final = "Thickness"
"""Part of the sheet whose figures are asked for a rope's strength; what else is asked is a count."""
_KILO: Final = 1000.0


@dataclass(frozen=True)
class SheetRow:
    """One line of the sheet: in which part it stands, what is looked at, claimed, and needed."""

    part: str
    name: str
    claimed: str
    needed: str


@dataclass(frozen=True)
class SheetRows:
    """What the rows of all boats are made from."""

    fleet: FleetColumns
    needs: RequirementColumns
    catalogue: Catalogue
    plans: Mapping[int, MendPlan]
    reference_day: date

    def rows(self, findings: Sequence[Finding]) -> tuple[SheetRow, ...]:
        """The rows of the boat these findings are about, part by part in the order of the columns.

        Of gear that a whole new drogue takes the place of, what is needed is what that drogue is made to.
        """
        row = findings[0].row if findings else 0
        found = list(self._rows(findings, row, self.plans.get(row)))
        parts = list(dict.fromkeys(field.sheet for field in ON_SHEET))
        return tuple(_in_one_row(sorted(found, key=lambda one: parts.index(one.part))))

    def _rows(self, findings: Sequence[Finding], row: int, plan: MendPlan | None) -> Iterator[SheetRow]:
        anew = plan is not None and plan.choice == "replace" and row not in self.needs.not_computed
        needed = needed_of(findings)
        about: dict[str, list[Finding]] = {}
        hang: dict[str, str] = {}
        for finding in findings:
            own, *others = finding.check.columns or ("",)
            about.setdefault(own, []).append(finding)
            if finding.needed and finding.check.level == "shall":
                rope = own in FIELD_BY_NAME and FIELD_BY_NAME[own].sheet == _OF_A_ROPE
                hang |= dict.fromkeys(others, "the rope's strength" if rope else "the count")
        for field in ON_SHEET:
            all_of_it = sorted(about.get(field.name, ()), key=lambda finding: finding.check.level != "shall")
            hers = [finding for finding in all_of_it if finding.standing is not Standing.NOT_APPLICABLE]
            replaced = anew and field.name in READY and (not hers or _made_anew(hers, plan))
            made = MADE_TO.get(field.name) if replaced else None
            if not (hers or made or (replaced and all_of_it)):
                continue
            wanted = (
                made(self, row)
                if made
                else wanted_of(field, hers or all_of_it, needed, self.reference_day, stamp)
            )
            if not replaced and field.name in hang and all(f.check.level != "shall" for f in hers):
                wanted = f"{AS_CLAIMED.format(hang[field.name])}; {wanted}"
            claimed = self.claimed(field, row)
            if not replaced and plan and any(finding.id in plan.closes for finding in hers):
                claimed = f"{claimed} {BEFORE}"
            waived = any(finding.standing is Standing.WAIVED for finding in hers)
            yield SheetRow(
                field.sheet,
                f"{field.label[0].upper()}{field.label[1:]}",
                TO_BE_MADE if replaced else claimed,
                f"{wanted} (waived)" if waived else wanted,
            )

    def claimed(self, field: Field, row: int) -> str:
        """What her entry says of a column; of a shackle as it may be stamped."""
        value = self.fleet.value(field.si_name, row) if field.dimension == "force" else None
        return stamp(value) if value else claimed(self.fleet, self.catalogue, field, row)


def _in_one_row(rows: Sequence[SheetRow]) -> Iterator[SheetRow]:
    """The rows, with the thickness of every rope in one: they are measured with one tool in one go."""
    ropes = [row for row in rows if row.part == _OF_A_ROPE]
    for row in rows:
        if row not in ropes or len(ropes) == 1:
            yield row
        elif row is ropes[0]:
            claims, needs = (
                "; ".join(f"{_rope(one)} {text}" for one, text in zip(ropes, texts, strict=True))
                for texts in ([one.claimed for one in ropes], [one.needed for one in ropes])
            )
            anew = all(one.claimed == TO_BE_MADE for one in ropes)
            yield SheetRow(row.part, _OF_A_ROPE, TO_BE_MADE if anew else claims, needs)


def _rope(row: SheetRow) -> str:
    return row.name.removesuffix(" thickness").lower()


def _made_anew(hers: Sequence[Finding], plan: MendPlan | None) -> bool:
    """Whether her plan makes anew what these findings are about."""
    specs = [SPECS[finding.check.id] for finding in hers]
    groups = set(plan.groups) if plan else set()
    return any(spec.of_the_drogue or groups & set(spec.parts) for spec in specs)


def stamp(breaking_n: float) -> str:
    """A breaking load as it may stand on a shackle: itself, or a fifth of it as a working load limit.

    EN 13889 has them break at five times their working load limit [memory].
    """
    tonnes = breaking_n / 5.0 / 9.80665 / _KILO
    return f"WLL {tonnes:.3g} t, or MBL {show(breaking_n, 'force').metric}"


def _length(name: str) -> Callable[[SheetRows, int], str]:
    return lambda of, row: spoken_if_known(float(getattr(of.needs, name)[row]), "length", "up")


def _ropes(of: SheetRows, positions: Sequence[int]) -> str:
    diameters = [float(of.catalogue.ropes.diameter_m[place]) for place in positions if place >= 0]
    return "; ".join(small(value) for value in diameters)


MADE_TO: Final[Mapping[str, Callable[[SheetRows, int], str]]] = MappingProxyType({
    "cone_count": lambda of, row: show(float(of.needs.cones[row]), "count").metric,
    "cones_torn": lambda _, __: "none",
    "made_year": lambda _, __: "the year it is made",
    "cone_mouth": lambda of, row: small(float(of.needs.cone_mouth_m[row])),
    "lead_line_length": _length("lead_length_m"),
    "bridle_leg_length": _length("bridle_leg_m"),
    "lead_line_diameter": lambda of, row: _ropes(of, [int(of.needs.lead_rope[row])]),
    "section_diameters": lambda of, row: _ropes(of, of.needs.section_rope[row].tolist()),
    "bridle_diameter": lambda of, row: _ropes(of, [int(of.needs.bridle_rope[row])]),
    "shackle_rating": lambda of, row: stamp(
        float(of.catalogue.shackles.breaking_load_n[of.needs.shackle[row]])
    ),
    "end_weight": lambda of, row: spoken(float(of.needs.end_weight_kg[row]), "mass", "up"),
})  # fmt: skip
"""What a whole new drogue is made to, by the column it will be measured for."""
