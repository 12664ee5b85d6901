"""How windage, drag and drift are worked out."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from types import MappingProxyType
from typing import Final

from sizing.drogue import drag, tow, windage
from sizing.drogue.drift import cone_drag
from sizing.drogue.drift_text import SOURCE
from sizing.drogue.workings.boat import BoatFigures, Input, work
from sizing.model import Working

ENDS: Final = (
    ("drift_low", "Drift speed, lower end", windage.LOW),
    ("drift_speed", "Drift speed", windage.MIDDLE),
    ("drift_high", "Drift speed, upper end: for room to leeward", windage.HIGH),
)

_BALANCE: Final = "speed at which the wind's push on hull and rig equals the drag of drogue and hull"

WORDS: Final[Mapping[float, str]] = MappingProxyType(
    {
        windage.LOW: f"{_BALANCE}, every figure at its low end",
        windage.MIDDLE: f"{_BALANCE}, every figure in the middle of its range; no waves, no current",
        windage.HIGH: f"{_BALANCE}, every figure at its high end",
    }
)


def drift_workings(boat: BoatFigures) -> Iterator[Working]:
    """Windage, drag areas, and the drift with the ends of its range."""
    rules = boat.policy.sizing
    yield from _windage(boat)
    cone_area = drag.mouth_area_m2(rules.cone_mouth)
    displacement = boat.of("displacement_used_kg")
    density: Input = ("water density, kg/m³", rules.water_density, "count")
    hull_area = tow.hull_drag_area_m2(displacement, rules.water_density)
    yield work(
        "hull_drag_area",
        "Drag area of the hull",
        tow.hull_drag_area_m2,
        "0.05 times the two-thirds power of displaced volume",
        (("displacement used", displacement, "mass"), density),
        "area",
        "[assumed]",
    )
    cones: Input = ("cones", boat.of("cones"), "count")
    area: Input = ("mouth area of a cone", cone_area, "area")
    coefficient: Input = ("drag coefficient", rules.drag_coefficient, "count")
    yield work(
        "water_drag_area",
        "Drag area of drogue and hull",
        tow.water_drag_area_m2,
        "drag coefficient times cones times mouth area, and the hull's",
        (cones, area, coefficient, ("hull", hull_area, "area")),
        "area",
        "[HOERNER, memory; assumed]",
    )
    for key, title, place in ENDS:
        water = tow.water_drag_area_m2(boat.of("cones"), cone_area, cone_drag(boat.policy, place), hull_area)
        yield work(
            key,
            title,
            tow.drift_speed_mps,
            WORDS[place],
            (
                ("wind at 10 m", boat.of("wind_speed_mps"), "speed"),
                ("drag area in the wind", _air_drag_area(boat, place), "area"),
                ("drag area in the water", water, "area"),
                density,
            ),
            "speed",
            SOURCE,
        )
    yield work(
        "drag_at_drift",
        "Drag of the drogue at that speed",
        tow.drogue_drag_n,
        "half the density times drag coefficient, cones, mouth area and speed squared",
        (("speed", boat.of("drift_speed_mps"), "speed"), cones, area, coefficient, density),
        "force",
        "[HOERNER, memory]",
    )


def _windage(boat: BoatFigures) -> Iterator[Working]:
    """The area seen from astern, and what drag area the wind finds on it."""
    hull_length = float(boat.fleet.number["loa_m"][boat.row])
    kind = boat.fleet.choice_words("boat_type", boat.row)
    given = boat.fleet.value("windage_area_m2", boat.row)
    if kind is None:
        return
    shape = windage.SHAPES[kind]
    entered = boat.fleet.value("beam_m", boat.row)
    beam = shape.beam * hull_length if entered is None else entered
    name = "beam" if entered is not None else "beam, estimated from the length"
    shown: tuple[Input, ...] = (
        ("hull length", hull_length, "length"),
        (name, beam, "length"),
        ("height over length", shape.height.at(windage.MIDDLE), "ratio"),
        ("rig over length squared", shape.rig.at(windage.MIDDLE), "ratio"),
    )
    yield work(
        "windage_used",
        "Windage, estimated" if given is None else "Windage, as entered",
        windage.frontal_area_m2 if given is None else lambda area: area,
        "length times beam times a share for the height, and a share of the length squared for spars "
        "and rigging; used because none was entered"
        if given is None
        else "side of hull and rig seen from astern, as entered",
        shown if given is None else (("windage", given, "area"),),
        "area",
        "[assumed]" if given is None else "[entry]",
    )
    rules = boat.policy.drift
    coefficients: tuple[Input, ...] = (
        ("drag coefficient of the hull", windage.hull_drag(rules, windage.MIDDLE), "count"),
        ("drag coefficient of the rig", windage.rig_drag(rules, windage.MIDDLE), "count"),
        ("power of height the wind rises with", windage.wind_exponent(rules, windage.MIDDLE), "count"),
    )
    source = "[PYD, quoted; ORC VPP, quoted; shapes assumed]"
    estimate = work(
        "air_drag_estimate",
        "Drag area of such a boat in the wind",
        windage.air_drag_area_m2,
        "drag coefficient times area of hull and of rig; the hull meets the wind at half its height",
        (*shown, *coefficients),
        "area",
        source,
    )
    yield estimate
    yield work(
        "air_drag_area",
        "Drag area in the wind",
        windage.entered_drag_area_m2,
        "her windage with the mean drag coefficient of such a boat",
        (
            ("windage used", boat.of("windage_used_m2"), "area"),
            ("windage of such a boat", windage.frontal_area_m2(*(value for _, value, _ in shown)), "area"),
            ("drag area of such a boat", estimate.value, "area"),
        ),
        "area",
        source,
    )


def _air_drag_area(boat: BoatFigures, place: float) -> float:
    """Her drag area in the wind at a place of the range."""
    number, row = boat.fleet.number, slice(boat.row, boat.row + 1)
    areas = windage.air_drag_areas_m2(
        number["windage_area_m2"][row], number["loa_m"][row], number["beam_m"][row],
        boat.fleet.choice["boat_type"][row], boat.policy.drift, place,
    )  # fmt: skip
    return float(areas[0])
