"""The columns of every catalogue table: their names, units and what must hold in them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final, Literal

Kind = Literal["id", "text", "flag", "number"]


@dataclass(frozen=True)
class Column:
    """One column: `name` in the file (with a unit after it, for a number) and `attribute` in the program.

    Numbers are positive; `rising` ones also rise from row to row. `optional` text may be blank; text with
    `words` is one of them. A number without a dimension has no unit in its header.
    """

    name: str
    attribute: str
    kind: Kind = "text"
    dimension: str = ""
    rising: bool = False
    optional: bool = False
    words: tuple[str, ...] = ()


UNITS: Final[Mapping[str, Mapping[str, str]]] = MappingProxyType(
    {
        "length": {"mm": "millimetre", "cm": "centimetre", "m": "metre", "in": "inch", "ft": "foot"},
        "mass": {"kg": "kilogram", "g": "gram", "t": "metric_ton", "lb": "pound"},
        "force": {
            "n": "newton", "kn": "kilonewton", "dan": "decanewton", "kgf": "kilogram_force",
            "lbf": "pound_force", "kip": "kip",
        },
        "area": {"mm2": "millimetre**2", "m2": "metre**2"},
        "pressure": {"pa": "pascal", "mpa": "megapascal"},
        "volume": {"l": "litre", "m3": "metre**3"},
        "linear_mass": {
            "kg_per_m": "kilogram/metre", "g_per_m": "gram/metre", "kg_per_100m": "kilogram/hectometre",
            "lb_per_ft": "pound/foot", "lb_per_100ft": "pound/hectofoot",
        },
        "areal_mass": {
            "g_per_m2": "gram/metre**2", "kg_per_m2": "kilogram/metre**2", "oz_per_yd2": "ounce/yard**2",
        },
    }
)  # fmt: skip
"""Unit as written in a header -> the name pint knows it by."""


def _number(name: str, attribute: str, dimension: str, *, rising: bool = False) -> Column:
    return Column(name, attribute, "number", dimension, rising)


_ID: Final = (Column("id", "id", "id"), Column("name", "name"))
_SOURCE: Final = Column("source", "source")
_NOTE: Final = Column("note", "note", optional=True)

READ_WORDS: Final = ("published", "quoted", "from memory", "derived", "assumed")
"""What was read of a row's figures: the source's own page, another's quotation of it, or nothing."""

_READ: Final = Column("read", "read", words=READ_WORDS)

TABLES: Final[Mapping[str, tuple[Column, ...]]] = MappingProxyType(
    {
        "ropes": (
            *_ID,
            Column("construction", "construction"),
            _number("diameter", "diameter_m", "length", rising=True),
            _number("circumference", "circumference_m", "length", rising=True),
            _number("average_strength", "average_strength_n", "force", rising=True),
            _number("minimum_strength", "minimum_strength_n", "force", rising=True),
            _number("stiffness_ea", "ea_n", "force", rising=True),
            _number("mass", "mass_kg_per_m", "linear_mass", rising=True),
            Column("derived", "derived", "flag"),
            _SOURCE,
            _NOTE,
        ),
        "shackles": (
            *_ID,
            _number("working_load_limit", "working_load_limit_kg", "mass", rising=True),
            _number("body", "body_m", "length", rising=True),
            _number("pin", "pin_m", "length", rising=True),
            _number("jaw", "jaw_m", "length", rising=True),
            _number("bow", "bow_m", "length", rising=True),
            _number("inside_length", "inside_length_m", "length", rising=True),
            _number("breaking_load", "breaking_load_n", "force", rising=True),
            _number("mass", "mass_kg", "mass"),
            _READ,
            _SOURCE,
            _NOTE,
        ),
        "bolts": (
            *_ID,
            _number("size", "size_m", "length", rising=True),
            _number("pitch", "pitch_m", "length"),
            _number("stress_area", "stress_area_m2", "area", rising=True),
            _SOURCE,
        ),
        "bolt_grades": (
            *_ID,
            _number("tensile_strength", "tensile_strength_pa", "pressure"),
            _number("shear_factor", "shear_factor", ""),
            _READ,
            _SOURCE,
        ),
        "cloths": (
            *_ID,
            Column("cone_cloth", "cone_cloth"),
            _number("areal_mass", "areal_mass_kg_m2", "areal_mass"),
            _number("width", "width_m", "length"),
            _SOURCE,
            _NOTE,
        ),
        "tapes": (
            *_ID,
            _number("width", "width_m", "length"),
            _number("breaking_load", "breaking_load_n", "force"),
            _number("mass", "mass_kg_per_m", "linear_mass"),
            _SOURCE,
            _NOTE,
        ),
        "thimbles": (
            *_ID,
            Column("thimble_type", "thimble_type"),
            _number("rope_diameter", "rope_diameter_m", "length", rising=True),
            _number("groove", "groove_m", "length", rising=True),
            _number("inside_width", "inside_width_m", "length"),
            _number("across", "across_m", "length", rising=True),
            _number("crown", "crown_m", "length", rising=True),
            _number("mass", "mass_kg", "mass"),
            _READ,
            _SOURCE,
            _NOTE,
        ),
        "end_weights": (
            *_ID,
            _number("size", "size_m", "length", rising=True),
            _number("inside_width", "inside_width_m", "length", rising=True),
            _number("pitch", "pitch_m", "length", rising=True),
            _number("breaking_load", "breaking_load_n", "force", rising=True),
            _number("mass", "mass_kg_per_m", "linear_mass", rising=True),
            _READ,
            _SOURCE,
            _NOTE,
        ),
        "chafe_sleeves": (
            *_ID,
            _number("rope_diameter", "rope_diameter_m", "length", rising=True),
            _number("mass", "mass_kg_per_m", "linear_mass"),
            _SOURCE,
            _NOTE,
        ),
        "bags": (
            *_ID,
            _number("volume", "volume_m3", "volume", rising=True),
            _number("mass", "mass_kg", "mass"),
            _SOURCE,
            _NOTE,
        ),
    }
)
