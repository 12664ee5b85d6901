"""What joins what in one kit, how long it takes, what to check at the end, and the cautions."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache, partial
from importlib import resources
from math import ceil
from types import MappingProxyType
from typing import Any, Final

from sizing.drogue.cone import pattern_of, usual_cone
from sizing.drogue.joint_text import MEASURE_FIRST, JointText, joint_text
from sizing.drogue.marks import TOLERANCE_M
from sizing.order.builder import ENDS
from sizing.order.kits import learned_minutes
from sizing.order.loft.bag import Bag
from sizing.order.loft.lengths_shown import small
from sizing.order.loft.page import Col, Flow, Sign
from sizing.order.loft.pattern_names import pattern_stem
from sizing.order.recovery_pieces import RECOVERY
from sizing.words import in_plain_words

CHECK_LIST: Final = "Check list before the bag is closed"
_HOURS: Final = (
    Col("Work", 170), Col("Times", 45, "right"), Col("Hours", 50, "right"), Col("", 10),
    Col("How it is counted", 235),
)  # fmt: skip


@dataclass(frozen=True)
class Point:
    """One step, check or caution as it stands in the text file."""

    when: str
    title: str
    text: str
    source: str
    card: str = ""
    picture: str = ""


@lru_cache(maxsize=1)
def points() -> Mapping[str, tuple[Point, ...]]:
    """Return the steps, checks and cautions, in the order of their file."""
    content = resources.files("sizing.order.loft").joinpath("steps.toml").read_text(encoding="utf-8")
    found: dict[str, list[dict[str, Any]]] = tomllib.loads(content)
    return MappingProxyType({name: tuple(_point(item) for item in items) for name, items in found.items()})


def _point(item: Mapping[str, str]) -> Point:
    return Point(item.get("when", "always"), item.get("title", ""), item["text"], item.get("source", ""),
                 item.get("card", ""), item.get("picture", ""))  # fmt: skip


def occasions(bag: Bag) -> frozenset[str]:
    """Return which kinds of work this kit has: the `when` of its steps and checks."""
    kit, work, groups = bag.kit, bag.kit.work, bag.plan.groups
    kinds = {piece.kind for piece in kit.contents}
    true = {
        "always": True,
        "rope": work.rope_pieces > 0,
        "sew": work.cones_to_sew > 0,
        "open": work.cones_to_sew > 0 and bag.policy.order.seam == "open",
        "lapped": work.cones_to_sew > 0 and bag.policy.order.seam == "lapped",
        "fit": work.cones_to_fit > 0,
        "splice": work.splices > 0,
        "old splices": sum(piece.quantity for piece in kit.contents if piece.kind == "thimble")
        > ENDS * sum(p.quantity for p in kit.contents if p.kind == "rope" and p.purpose not in RECOVERY),
        "recovery": "recovery gear" in groups,
        "marks": bool(bag.lines),
        "replace": work.cones_to_fit > 0 and not bag.lines,
        "cone line": "cone line" in groups,
        "extension": "extension" in groups,
        "bridle": "bridle" in groups,
        "end weight": "end weight" in groups,
        "chafe gear": "chafe gear" in groups,
        "shackles": "shackle" in kinds,
        "joints": bool(bag.joints),
        "own weight": "end weight" not in groups and bool({"cone line", "extension"} & set(groups)),
        "attachments": "attachment" in kinds,
        "bag": "bag" in kinds,
        "bags": kit.stowage_bags > 1,
    }
    return frozenset(when for when, holds in true.items() if holds)


def figures(bag: Bag) -> Mapping[str, str]:
    """Return the figures that stand in the texts."""
    work, order, sizing = bag.kit.work, bag.policy.order, bag.policy.sizing
    tails = 2 * order.tapes_per_cone
    return {
        "cones_to_sew": f"{work.cones_to_sew:,}",
        "cones_to_fit": f"{work.cones_to_fit:,}",
        "splices": f"{work.splices:,}",
        "tapes": str(order.tapes_per_cone),
        "tails": str(tails),
        "knots": f"{tails * work.cones_to_fit:,}",
        "tape_length": small(order.tape_length),
        "pitch": small(sizing.cone_pitch),
        "offset": small(sizing.first_cone_offset),
        "tolerance": f"{1000 * TOLERANCE_M:.0f} mm",
        "small_ends": _small_ends(bag),
        "bags": str(bag.kit.stowage_bags),
        **_of_the_cones(bag),
    }


def _of_the_cones(bag: Bag) -> Mapping[str, str]:
    """What is measured of the new cones, in the largest number made alike, and how long they take."""
    work, order, sizing = bag.kit.work, bag.policy.order, bag.policy.sizing
    pieces = sorted((p for p in bag.kit.contents if p.cone is not None), key=lambda p: -p.quantity)
    sizes = [piece.cone for piece in pieces if piece.cone is not None]
    size = sizes[0] if sizes else usual_cone(sizing.cone_mouth, sizing)
    slant_m = pattern_of(size, bag.policy).slant_m
    hem = f"Fold the mouth's hem of {small(order.hem_allowance)} in on its arc and stitch it. "
    hours = {station.name: station.hours for station in bag.stations}
    return {
        "patterns": " and ".join(dict.fromkeys(pattern_stem(s, sizing) for s in sizes or [size])),
        "rims": hem if order.hem_allowance else "Both rims are cut hot and have no hem.",
        "tapes_in_all": f"{order.tapes_per_cone * work.cones_to_sew:,}",
        "tail": small((order.tape_length - slant_m) / 2.0),
        "mouth": small(size.mouth_m),
        "mouth_flat": _flat(size.mouth_m),
        "small_flat": _flat(size.small_end_m),
        "sewing_time": _takes("Cutting and sewing", hours.get("cut and sew cones")),
        "fitting_time": _takes("Fitting the cones", hours.get("fit cones")),
    }


def _flat(diameter_m: float) -> str:
    """How wide a rim is when it lies flat, to a tenth of a millimetre as on its gauge: pi d / 2. [derived]"""
    return f"{500 * math.pi * diameter_m:.1f} mm"


def _takes(what: str, hours: float | None) -> str:
    if hours is None:
        return ""
    whole = math.ceil(hours)
    return f"{what} takes one pair of hands that is new to it about {whole} hour{'' if whole == 1 else 's'}."


def _small_ends(bag: Bag) -> str:
    """How the new cones of a kit are told apart, where they have more small ends than one."""
    sizes: dict[float, int] = {}
    for piece in bag.kit.contents:
        if piece.cone is not None:
            sizes[piece.cone.small_end_m] = sizes.get(piece.cone.small_end_m, 0) + piece.quantity
    if len(sizes) < 2:
        return "The new cones are all alike."
    told = ", ".join(
        f"{count} with a small end of {1000 * size:.0f} mm" for size, count in sorted(sizes.items())[::-1]
    )
    return f"The new cones are of {len(sizes)} sizes ({told}): the wider go on the thicker rope."


def put_build_sheet(flow: Flow, bag: Bag) -> None:
    """Lay out what joins what, and the kit's hours; its steps stand on the two cards that follow."""
    old = bag.kit.work.cones_to_fit - bag.kit.work.cones_to_sew
    if old > 0:
        flow.text(
            f"{bag.kit.work.cones_to_sew:,} cones are new; {old:,} are moved from her old line. Look each "
            "old one over: a torn one, or one with worn tapes, is replaced from the fleet's spares."
        )
        flow.space(4.0)
    put_joints(flow, bag)
    flow.together(lambda page: _put_hours(page, bag))


def put_joints_in_short(flow: Flow, bag: Bag) -> None:
    """Lay out what joins what, in the order it is closed; how parts fit stands with the bag's papers."""
    if not bag.joints:
        return
    flow.heading("What joins what, in the order it is closed", keep=75.0)
    for joint in map(joint_text, bag.joints):
        flow.point(joint.place, joint.closing, f"{joint.name}: {joint.joined_by}.")


def put_joints(flow: Flow, bag: Bag) -> None:
    """Lay out what joins what, in the order it is closed, and what goes through what, tightest first."""
    if not bag.joints:
        return
    flow.heading("What joins what, in the order it is closed", keep=75.0)
    flow.text(MEASURE_FIRST, size=flow.sizes.small, grey=0.25)
    flow.space(1.0)
    joints = [joint_text(joint) for joint in bag.joints]
    for joint in joints:
        flow.together(partial(_put_joint, joint))
    sources = dict.fromkeys(joint.source for joint in joints if joint.source)
    if sources:
        flow.text(f"Where it comes from: {'; '.join(sources)}.", size=flow.sizes.small, grey=0.25)


def _put_joint(joint: JointText, flow: Flow) -> None:
    said = f"{joint.closing} {joint.strength}".rstrip()
    flow.point(joint.place, said, f"{in_plain_words(joint.name)}: {joint.joined_by}.")
    fits = " ".join(fit.sentence for fit in joint.fits)
    if fits:
        flow.text(fits, size=flow.sizes.small, indent=18.0, grey=0.25)
    flow.space(1.0)


def _put_hours(flow: Flow, bag: Bag) -> None:
    order = bag.policy.order
    flow.heading("Hours", keep=110.0)
    how = {
        "cut and sew cones": _learning(order.sew_minutes_per_cone, bag),
        "fit cones": _learning(order.minutes_per_cone, bag),
        "splice eyes": f"{order.splice_minutes:g} min each",
        "measure and cut rope": f"{order.rope_minutes_per_piece:g} min each",
        "check and pack": f"{order.packing_minutes:g} min",
    }
    rows = [(s.name, f"{s.tasks:,}", f"{s.hours:.1f}", "", how[s.name]) for s in bag.stations]
    rows.append(
        (
            "In all, for one pair of hands",
            "",
            f"{bag.kit.hours:.1f}",
            "",
            "for a crew that has not done it before",
        )
    )
    flow.table(_HOURS, rows, last_bold=True)
    if bag.plan.hours:
        practised = ceil(bag.plan.hours)
        words = f"{practised:,} hour{'' if practised == 1 else 's'} once practised"
        flow.text(f"Her page says {words}: the same work, by hands that know it.")
    flow.text(
        "12 min a cone, once practised, is common practice; all other times are assumed.", size=7.5, grey=0.25
    )


def _learning(minutes: float, bag: Bag) -> str:
    order = bag.policy.order
    first = learned_minutes(1, minutes, order.learning_rate, order.practised_cones)
    return f"the first takes {first:.0f} min, from the {order.practised_cones}th on {minutes:g} min each"


def checks_of(bag: Bag) -> list[str]:
    """Return what is checked of this kit before its bag is closed."""
    hers, shown = occasions(bag), figures(bag)
    return [check.text.format_map(shown) for check in points()["check"] if check.when in hers]


def put_check_list(flow: Flow, bag: Bag) -> None:
    """Lay out what is checked before the bag is closed, a line to sign on, and the cautions."""
    flow.heading(CHECK_LIST, keep=120.0)
    for check in checks_of(bag):
        flow.point(Sign.TICK, check)
    put_signatures(flow)
    flow.heading("Cautions", keep=80.0)
    for caution in points()["caution"]:
        flow.point("•", caution.text)


def put_signatures(flow: Flow) -> None:
    """Lay out the line on which builder and checker sign."""
    flow.need(20.0)
    flow.space(4.0)
    flow.text("Built by: ______________________   Checked by: ______________________   Date: ______________")
