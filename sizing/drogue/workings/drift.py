"""How windage, drag and drift are worked out."""

from __future__ import annotations

from collections.abc import Iterator

from sizing.drogue import drag, tow
from sizing.drogue.workings.boat import BoatFigures, Input, work
from sizing.model import Working


def drift_workings(boat: BoatFigures) -> Iterator[Working]:
    """Windage, drag areas and the drift speed."""
    rules = boat.policy.sizing
    hull_length = float(boat.fleet.number["loa_m"][boat.row])
    given = boat.fleet.value("windage_area_m2", boat.row)
    kind = boat.fleet.choice_words("boat_type", boat.row)
    if given is not None:
        yield work(
            "windage_used",
            "Windage, as entered",
            lambda area: area,
            "side of hull and rig seen from astern, as entered",
            (("windage", given, "area"),),
            "area",
            "[entry]",
        )
    elif kind is not None:
        entered = boat.fleet.value("beam_m", boat.row)
        beam = tow.BEAM_SHARE[kind] * hull_length if entered is None else entered
        name = "beam" if entered is not None else "beam, estimated from the length"
        yield work(
            "windage_used",
            "Windage, estimated",
            tow.windage_area_m2,
            "length times beam times a share for the height, and a share of the length squared for spars "
            "and rigging; used because none was entered",
            (
                ("hull length", hull_length, "length"),
                (name, beam, "length"),
                ("height over length", tow.HEIGHT_SHARE[kind], "ratio"),
                ("rig over length squared", tow.RIG_SHARE[kind], "ratio"),
            ),
            "area",
            "[assumed]",
        )
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
    total = tow.water_drag_area_m2(boat.of("cones"), cone_area, rules.drag_coefficient, hull_area)
    yield work(
        "drift_speed",
        "Drift speed",
        tow.drift_speed_mps,
        "speed at which the wind's push on hull and rig equals the drag of drogue and hull; waves and "
        "current are left out",
        (
            ("wind", boat.of("wind_speed_mps"), "speed"),
            ("windage", boat.of("windage_used_m2"), "area"),
            ("drag area", total, "area"),
            density,
        ),
        "speed",
        "[derived; wind and coefficients assumed]",
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
