"""What the tables of a rally policy are made of: text with its unit read to SI, and one numeric rule."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field

from sizing.errors import MusterError
from sizing.units import parse_quantity

Tighter = Literal["higher", "lower", "either"]


def is_written(said: str) -> bool:
    """Whether there is something in a text to be read: blanks and hidden characters alone are nothing.

    >>> is_written("why"), is_written(" \\n"), is_written("\\u200b")
    (True, False, False)
    """
    return any(sign.isprintable() and not sign.isspace() for sign in said)


def written(said: str) -> str:
    """The same text, if there is something in it to be read; ValueError else."""
    if not is_written(said):
        raise ValueError("nothing is written there; write a few words")
    return said


def _quantity(dimension: Literal["length", "mass", "speed"]) -> BeforeValidator:
    def parse(value: object) -> object:
        if isinstance(value, str):
            try:
                return parse_quantity(value, dimension)
            except MusterError as problem:
                raise ValueError(f"{problem.found}; {problem.mend}") from problem
        if isinstance(value, float):
            return value  # a default, already SI
        raise ValueError('write it as text with its unit, for example "75 ft" or "23 m"')

    return BeforeValidator(parse)


LengthM = Annotated[float, _quantity("length")]
MassKg = Annotated[float, _quantity("mass")]
SpeedMps = Annotated[float, _quantity("speed")]

ROUNDING = 1e-5
"""A default written with six digits, as the template does, is still the default."""


class PolicyTable(BaseModel):
    """What every table of a policy has in common: frozen, no unknown key, no figure that is none."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False, validate_default=True)


def rule(
    default: float, meaning: str, source: str, tighter: Tighter, ge: float, le: float, unit: str = ""
) -> Any:
    """One numeric rule with its bounds, its source tag, and which way is stricter."""
    return Field(
        default,
        ge=ge,
        le=le,
        description=meaning,
        json_schema_extra={"source": source, "tighter": tighter, "unit": unit},
    )
