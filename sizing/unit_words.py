"""How people write units: spellings, those that could mean several, and what is expected in words."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

# pint unit -> spellings, compared without case, full stops and repeated spaces.
_LENGTH: Final = {
    "metre": (
        "m",
        "metre",
        "metres",
        "meter",
        "meters",
        "mtr",
        "mtrs",
        "mt",
        "mts",
        "metri",
        "metros",
        "mètre",
        "mètres",
        "metro",
    ),
    "centimetre": ("cm", "cms", "centimetre", "centimetres", "centimeter", "centimeters"),
    "millimetre": ("mm", "mms", "millimetre", "millimetres", "millimeter", "millimeters"),
    "foot": (
        "ft",
        "foot",
        "feet",
        "'",
        "fuß",
        "fuss",
        "pied",
        "pieds",
        "pie",
        "pies",
        "piedi",
        "voet",
        "fot",
    ),
    "inch": (
        "in",
        "ins",
        "inch",
        "inches",
        '"',
        "zoll",
        "pouce",
        "pouces",
        "pulgada",
        "pulgadas",
        "pollice",
        "pollici",
        "duim",
        "tum",
    ),
}
SPELLINGS: Final[Mapping[str, Mapping[str, tuple[str, ...]]]] = {
    "length": _LENGTH,
    "small_length": _LENGTH,
    "mass": {
        "kilogram": ("kg", "kgs", "kilo", "kilos", "kilogram", "kilograms", "kilogramme", "kilogrammes",
                     "kilogramm", "kilogramos", "chilogrammi"),
        "metric_ton": ("t", "tonne", "tonnes", "metric ton", "metric tons", "metric tonne", "metric tonnes",
                       "mt", "to", "tonnen", "tonnellate", "toneladas", "tons metric",
                       "t metric"),
        "pound": ("lb", "lbs", "pound", "pounds", "#"),
        "long_ton": ("long ton", "long tons", "uk ton", "uk tons", "imperial ton", "imperial tons"),
        "short_ton": ("short ton", "short tons", "us ton", "us tons"),
    },
    "force": {
        "newton": ("n", "newton", "newtons"),
        "kilonewton": ("kn", "kilonewton", "kilonewtons"),
        "decanewton": ("dan", "decanewton", "decanewtons"),
        "kilogram_force": ("kgf", "kg f", "kp", "kilogram-force", "kilogram force"),
        "force_metric_ton": ("tf", "tonne-force", "tonne force"),
        "pound_force": ("lbf", "lb f", "lbsf", "pound-force", "pounds-force", "pound force", "pounds force"),
        "kip": ("kip", "kips", "klbf"),
    },
    "area": {
        "metre**2": ("m2", "m^2", "sq m", "sqm", "square metre", "square metres", "square meter",
                     "square meters", "qm"),
        "foot**2": ("ft2", "ft^2", "sq ft", "sqft", "square foot", "square feet"),
    },
    "speed": {
        "metre/second": ("m/s", "mps", "metres per second", "meters per second"),
        "knot": ("kn", "kt", "kts", "knot", "knots"),
        "kilometre/hour": ("km/h", "kmh", "kph"),
        "mile/hour": ("mph",),
        "foot/second": ("ft/s", "fps"),
    },
}  # fmt: skip

SI_FACTORS: Final[Mapping[str, float]] = {
    "metre": 1.0, "centimetre": 0.01, "millimetre": 0.001, "foot": 0.3048, "inch": 0.0254, "kilogram": 1.0,
    "metric_ton": 1000.0, "pound": 0.45359237, "long_ton": 1016.0469088, "short_ton": 907.18474,
    "newton": 1.0, "kilonewton": 1000.0, "decanewton": 10.0, "kilogram_force": 9.80665,
    "force_metric_ton": 9806.65, "pound_force": 4.4482216152605, "kip": 4448.2216152605, "metre**2": 1.0,
    "foot**2": 0.09290304, "metre/second": 1.0, "knot": 0.5144444444444445,
    "kilometre/hour": 0.2777777777777778, "mile/hour": 0.44704, "foot/second": 0.3048,
    "gram/metre**2": 0.001, "ounce/yard**2": 0.03390574747488229, "megapascal": 1000000.0,
    "kilopascal": 1000.0, "psi": 6894.757293168362, "kilojoule": 1000.0,
    "foot*pound_force": 1.3558179483314003, "litre": 0.001, "foot**3": 0.028316846592,
    "degree": 0.017453292519943295, "second": 1.0, "": 1.0, "standard_gravity": 9.80665,
    "nautical_mile": 1852.0, "gram": 0.001, "gram/metre": 0.001, "kilogram/hectometre": 0.01,
    "kilogram/metre": 1.0, "kilogram/metre**2": 1.0, "metre**3": 1.0, "millimetre**2": 1e-06,
    "pascal": 1.0, "percent": 0.01, "pound/foot": 1.4881639435695537,
    "pound/hectofoot": 0.014881639435695537,
}  # fmt: skip
"""SI base units in one of each unit the program names: pint's own figures, held equal to pint by a test.

Written out, since making pint's registry takes longer than reading a fleet. [SP 811]
"""

FORCE_CAPITALS: Final = {"n": "N", "kn": "kN", "dan": "daN"}
"""Units of force that are not written in small letters, where a message names them."""

EXPECTED: Final[Mapping[str, str]] = {
    "length": "a length with its unit, such as 11.6 m, 38 ft or 40 ft 6 in",
    "small_length": "a size with its unit, such as 20 mm or 5/8 in",
    "mass": "a mass with its unit, such as 8,400 kg, 8.4 t or 18,500 lb",
    "force": "a force with its unit, such as 45 kN, 4,500 daN or 10,000 lbf",
    "area": "an area with its unit, such as 18 m2 or 190 sq ft",
    "speed": "a speed with its unit, such as 5 m/s or 10 kn",
}

# Spellings that could mean several units, or the unit of another quantity: code, what it is, what to write.
AMBIGUOUS: Final[Mapping[tuple[str, str], tuple[str, str]]] = {
    ("mass", word): (
        "which_ton",
        "write t (1,000 kg), long tons (2,240 lb) or short tons (2,000 lb), whichever is meant",
    )
    for word in ("ton", "tons")
} | {
    ("force", word): (
        "mass_for_force",
        f"{word} is a mass: write {better} if a force is meant",
    )
    for word, better in (
        ("kg", "kgf or kN"), ("kgs", "kgf or kN"), ("kilo", "kgf or kN"), ("kilos", "kgf or kN"),
        ("t", "tf or kN"), ("tonne", "tf or kN"), ("tonnes", "tf or kN"), ("ton", "tf, kN or lbf"),
        ("tons", "tf, kN or lbf"), ("lb", "lbf or kN"), ("lbs", "lbf or kN"), ("pound", "lbf or kN"),
        ("pounds", "lbf or kN"),
    )
}  # fmt: skip
