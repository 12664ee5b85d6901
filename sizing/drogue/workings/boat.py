"""One row of the requirement columns, and how one working is made."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np

from sizing.catalogue import Catalogue
from sizing.drogue.hardware import smallest_enough
from sizing.model import OUTSIDE_HULL, FleetColumns, FloatArray, RequirementColumns, Working
from sizing.policy import Policy

Input = tuple[str, float, str]

RANGE_WORDS = {
    -1: "below the published range of 7,500 to 60,000 lb; the same line is extended",
    0: "",
    1: "above the published range of 7,500 to 60,000 lb; the same line is extended",
}


@dataclass(frozen=True)
class BoatFigures:
    """One computed boat and what her workings are made from."""

    fleet: FleetColumns
    requirements: RequirementColumns
    policy: Policy
    catalogue: Catalogue
    row: int

    def of(self, column: str) -> float:
        """Her figure in one column of the requirements."""
        return float(getattr(self.requirements, column)[self.row])

    def figures(self) -> dict[str, float]:
        """Her single figures by column name; places in the catalogue are none."""
        names = [
            name
            for name, values in vars(self.requirements).items()
            if isinstance(values, np.ndarray) and values.ndim == 1
            and (values.dtype.kind == "f" or name == "cones")
        ]  # fmt: skip
        return {name: figure for name in names if np.isfinite(figure := self.of(name))}

    def used_sections(self) -> list[int]:
        """Positions of the sections she has."""
        return [int(i) for i in np.flatnonzero(self.requirements.section_cones[self.row] > 0)]

    @property
    def range_words(self) -> str:
        """What to say beside a figure of a displacement or hull type that the source leaves out."""
        marks = (
            RANGE_WORDS[int(self.requirements.range_mark[self.row])],
            (OUTSIDE_HULL if self.requirements.hull_mark[self.row] else ""),
        )
        return "; ".join(filter(None, marks))


def work(
    key: str,
    title: str,
    formula: Callable[..., Any],
    words: str,
    inputs: tuple[Input, ...],
    dimension: str,
    source: str,
    range_mark: str = "",
) -> Working:
    """One Working whose value is `formula` of the inputs, in their order."""
    value = float(formula(*(value for _, value, _ in inputs)))
    return Working(key, title, value, dimension, words, inputs, source, range_mark)


def least(rising: FloatArray) -> Callable[[float], float]:
    """A function: the smallest figure of a catalogue's column that reaches what is needed."""
    return lambda needed: float(rising[smallest_enough(rising, np.array([needed]))[0]])
