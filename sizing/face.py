"""The engine for programs: pandas tables in, pandas tables out. `import sizing` offers what stands here."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from pathlib import Path
from typing import Any

import pandas as pd

from sizing.drogue.strike_fleet import StrikePlan
from sizing.errors import InputError
from sizing.frame_cells import table_of
from sizing.frames import described, findings_frame, order_frame, requirements_frame
from sizing.intake import read_cells, read_fleet
from sizing.model import IntakeResult, MusterResult
from sizing.samples import STRIKE_SAMPLES
from sizing.story import RallyRules, conclude, judge, load_rules, with_waivers
from sizing.table_columns import SIZING_COLUMNS

REQUIRED_ALONE = {"entry_no": "1", "boat_name": "she"}
"""What one boat needs not say of herself."""


@dataclass(frozen=True)
class Mustered:
    """What a muster found out, as tables; `result` is the same as the engine's own columns.

    Units stand in the names of columns, and with the sources in `attrs` of each table.
    """

    result: MusterResult
    rules: RallyRules

    @cached_property
    def requirements(self) -> pd.DataFrame:
        """One row an accepted boat: what she needs. SI, diameters in mm."""
        found = self.result
        return requirements_frame(
            found.intake.fleet, found.requirements, found.strike, found.checks, self.rules.catalogue
        )

    @cached_property
    def findings(self) -> pd.DataFrame:
        """One row a boat and check: how she stands, and what to do about it."""
        fleet = self.result.intake.fleet
        frame = findings_frame(self.result.checks, fleet, range(len(fleet)))
        return frame.astype({name: "str" for name, kind in frame.dtypes.items() if kind == "category"})

    @cached_property
    def order(self) -> pd.DataFrame:
        """One row a line to buy for the whole fleet."""
        return order_frame(self.result.order)

    @cached_property
    def rejected(self) -> pd.DataFrame:
        """One row a row that could not be taken: its number, its cells as written, and what is wrong."""
        intake = self.result.intake
        cells = [dict(zip(intake.header, row.cells, strict=False)) for row in intake.rejected]
        problems = [" ".join(error.sentence for error in row.errors) for row in intake.rejected]
        frame = pd.DataFrame(cells, columns=list(intake.header))
        return frame.assign(row_no=[row.row_no for row in intake.rejected], problems=problems)


def muster(
    fleet: pd.DataFrame | Path | str,
    *,
    policy: Path | str | None = None,
    prices: Path | str | None = None,
    catalogue: Path | str | None = None,
    today: date | None = None,
    samples: int = STRIKE_SAMPLES,
) -> Mustered:
    """Size, strike, judge and order for a whole fleet, as the command line does.

    `fleet` is a table in the entry sheet's columns, or the path of a CSV or XLSX file. Cells are text as in a
    sheet ("8,400 kg"), quantities of pint, or figures in a column whose name has the unit (displacement_kg,
    "Displacement (lb)"). `policy`, `prices` and `catalogue` are paths as on the command line; `samples` are
    wave strikes a boat over the spread of what is not known, a power of two, 0 for none. Dates are judged as
    of `today`.

    Raises InputError, PolicyError or CatalogueError where a table as a whole cannot be used; a row that
    cannot is in `rejected`. The same as the command line's. [every column's source is in its `attrs`]

    >>> import pandas as pd, sizing
    >>> fleet = pd.DataFrame({
    ...     "entry_no": ["7", "8"], "boat_name": ["Plover", "Knot"], "boat_type": "sailing monohull",
    ...     "loa_ft": [38, 41], "transom_width_m": [2.9, 3.1], "displacement_kg": [8400, 11000],
    ...     "displacement_basis": "loaded", "device_type": ["none", "series drogue"]})
    >>> found = sizing.muster(fleet, samples=0)
    >>> found.requirements[["entry_no", "cones", "end_weight_kg"]].round(1)
      entry_no  cones  end_weight_kg
    0        7    122           13.6
    1        8    133           14.7
    >>> found.requirements.attrs["units"]["end_weight_kg"], found.requirements.attrs["sources"]["cones"]
    ('kg', '[CG87 6.1]')
    >>> found.findings.query("entry_no == '7' and standing == 'absent'")["check"].tolist()[:1]
    ['drag.device-aboard']
    >>> found.order[["item", "unit", "needed"]].columns.tolist()
    ['item', 'unit', 'needed']
    """
    rules = _rules(policy, prices, catalogue)
    day = today or date.today()
    if isinstance(fleet, pd.DataFrame):
        intake = _read(fleet, day)
    else:
        path = Path(fleet)
        intake = read_fleet(path, path.name, today=day)
    rules, intake = with_waivers(rules, intake)
    judged = judge(intake.fleet, rules, day, StrikePlan(samples, histories=False))
    return Mustered(conclude(intake, judged, rules, today=day), rules)


def size_table(
    fleet: pd.DataFrame,
    *,
    policy: Path | str | None = None,
    catalogue: Path | str | None = None,
    today: date | None = None,
) -> pd.DataFrame:
    """What each boat of a table needs; one row a row of `fleet`, with its index.

    Cells are as `muster` takes them. A row that cannot be taken, or a boat that cannot be computed, has no
    figures, and `not_computed` says why. The strike has its say on the ropes. [sources in `attrs`]

    >>> import pandas as pd, sizing
    >>> fleet = pd.DataFrame({
    ...     "entry_no": ["7", "8"], "boat_name": ["Plover", "Knot"], "boat_type": "sailing monohull",
    ...     "loa": ["38 ft", "41 ft"], "transom_width": "3.0 m", "displacement": ["8.4 t", "11 tons"]},
    ...     index=["a", "b"])
    >>> needs = sizing.size_table(fleet)
    >>> needs[["displacement_kg", "cones"]]
       displacement_kg  cones
    a           8400.0    122
    b              NaN   <NA>
    >>> "not clear here" in needs.loc["b", "not_computed"]
    True
    """
    rules, day = _rules(policy, None, catalogue), today or date.today()
    intake = _read(fleet, day)
    sized = judge(intake.fleet, rules, day, StrikePlan(0, histories=False))
    needs = requirements_frame(
        intake.fleet, sized.requirements, sized.strike, sized.checks, rules.catalogue
    ).drop(columns=["open_shalls", "met", "met_on_word"])
    wrong = {row.row_no: " ".join(error.sentence for error in row.errors) for row in intake.rejected}
    whole = needs.set_axis(intake.fleet.row_no).reindex(range(1, len(fleet) + 1))
    reasons = whole["not_computed"].tolist()
    whole["not_computed"] = [wrong.get(row, reason) for row, reason in enumerate(reasons, 1)]
    return described(whole.set_axis(fleet.index), SIZING_COLUMNS)


def size(
    boat: Mapping[str, Any],
    *,
    policy: Path | str | None = None,
    catalogue: Path | str | None = None,
    today: date | None = None,
) -> pd.Series[Any]:
    """What one boat needs, given as column of the entry sheet -> value, as `size_table` takes them.

    Her type, length overall, transom width and displacement have to be given. Raises InputError with all
    that is wrong where she cannot be taken or computed. [sources in `attrs`]

    >>> import sizing
    >>> needs = sizing.size({"boat_type": "sailing monohull", "loa": "38 ft", "transom_width": "2.9 m",
    ...                      "displacement": "8,400 kg", "displacement_basis": "loaded"})
    >>> needs[["cones", "bridle_leg_m", "design_load_n"]].astype(float).round(2).tolist()
    [122.0, 7.25, 65973.19]
    >>> needs.attrs["units"]["design_load_n"]
    'N'
    """
    frame = pd.DataFrame([REQUIRED_ALONE | dict(boat)])
    table = size_table(frame, policy=policy, catalogue=catalogue, today=today)
    needs = table.iloc[0]
    if needs["not_computed"]:
        raise InputError("boat", needs["not_computed"], "a boat that can be sized", "correct these values")
    needs.attrs = table.attrs
    return needs


def _rules(policy: Path | str | None, prices: Path | str | None, catalogue: Path | str | None) -> RallyRules:
    return load_rules(*(Path(path) if path is not None else None for path in (policy, prices, catalogue)))


def _read(fleet: pd.DataFrame, day: date) -> IntakeResult:
    table, content, figures = table_of(fleet)
    return read_cells(table, "table", content, today=day, decimal="." if figures else None)
