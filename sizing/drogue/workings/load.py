"""How the drogue's size and the design load are worked out."""

from __future__ import annotations

from collections.abc import Iterator

from sizing.drogue import drag, loads
from sizing.drogue.workings.boat import BoatFigures, Input, work
from sizing.model import Working


def load_workings(boat: BoatFigures) -> Iterator[Working]:
    """From displacement to cones and design load."""
    rules, mark = boat.policy.sizing, boat.range_words
    basis = boat.fleet.choice_words("displacement_basis", boat.row)
    stated = float(boat.fleet.number["displacement_kg"][boat.row])
    factor = rules.loading_factor if basis == "light" else 1.0
    taken = {
        "loaded": "the loaded passage displacement, as entered",
        "light": "the light displacement as entered, times the policy's loading factor",
        None: "the displacement as entered, taken as loaded because the sheet asks for the loaded one",
    }[basis]
    yield work(
        "displacement_used",
        "Displacement used",
        drag.displacement_used_kg,
        taken,
        (("displacement entered", stated, "mass"), ("loading factor", factor, "ratio")),
        "mass",
        "[ISO 8666]" if basis != "light" else "[ISO 8666; factor assumed]",
    )
    displacement: Input = ("displacement used", boat.of("displacement_used_kg"), "mass")
    yield work(
        "equivalent_diameter",
        "Diameter of a single drogue of equal drag",
        drag.equivalent_diameter_m,
        "4 ft at 7,500 lb, 5.5 ft at 60,000 lb, a straight line between their logarithms",
        (displacement,),
        "length",
        "[CG87 6.1]",
        mark,
    )
    yield work(
        "mouth_area_required",
        "Mouth area required",
        drag.mouth_area_m2,
        "area of a circle of that diameter",
        (("equivalent diameter", boat.of("equivalent_diameter_m"), "length"),),
        "area",
        "[CG87 6.1]",
        mark,
    )
    yield work(
        "cones",
        "Cones",
        drag.cones_required,
        "mouth area required over the mouth area of one cone, rounded up to a whole cone",
        (
            ("mouth area required", boat.of("mouth_area_required_m2"), "area"),
            ("cone mouth", rules.cone_mouth, "small_length"),
        ),
        "count",
        "[CG87 4.1.1, 6.1]",
        mark,
    )
    yield work(
        "design_load",
        "Design load",
        loads.design_load_n,
        "the displacement's own weight at 7,500 lb, 60 % of it at 60,000 lb, a straight line between "
        "their logarithms",
        (displacement,),
        "force",
        "[CG87 6.2]",
        mark,
    )
