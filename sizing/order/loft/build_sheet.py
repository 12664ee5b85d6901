"""How one kit is built, how long it takes, what to check at the end, and the cautions."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources
from math import ceil
from types import MappingProxyType
from typing import Any, Final

from sizing.drogue.joint_text import MEASURE_FIRST, joint_text
from sizing.drogue.marks import TOLERANCE_M
from sizing.order.builder import ENDS
from sizing.order.kits import learned_minutes
from sizing.order.loft.bag import Bag
from sizing.order.loft.page import Col, Flow, Sign
from sizing.order.recovery_pieces import RECOVERY
from sizing.units import both
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


@lru_cache(maxsize=1)
def points() -> Mapping[str, tuple[Point, ...]]:
    """Return the steps, checks and cautions, in the order of their file."""
    content = resources.files("sizing.order.loft").joinpath("steps.toml").read_text(encoding="utf-8")
    found: dict[str, list[dict[str, Any]]] = tomllib.loads(content)
    return MappingProxyType({name: tuple(_point(item) for item in items) for name, items in found.items()})


def _point(item: Mapping[str, str]) -> Point:
    return Point(item.get("when", "always"), item.get("title", ""), item["text"], item.get("source", ""))


def occasions(bag: Bag) -> frozenset[str]:
    """Return which kinds of work this kit has: the `when` of its steps and checks."""
    kit, work, groups = bag.kit, bag.kit.work, bag.plan.groups
    kinds = {piece.kind for piece in kit.contents}
    true = {
        "always": True,
        "rope": work.rope_pieces > 0,
        "sew": work.cones_to_sew > 0,
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
        "tape_length": both(order.tape_length, "length"),
        "pitch": both(sizing.cone_pitch, "length"),
        "offset": both(sizing.first_cone_offset, "length"),
        "tolerance": f"{1000 * TOLERANCE_M:.0f} mm",
        "small_ends": _small_ends(bag),
        "bags": str(bag.kit.stowage_bags),
    }


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
    """Lay out the steps of this kit, in order, then its hours."""
    flow.heading("Build sheet")
    old = bag.kit.work.cones_to_fit - bag.kit.work.cones_to_sew
    if old > 0:
        flow.text(
            f"{bag.kit.work.cones_to_sew:,} cones are new; {old:,} are moved from her old line. Look each "
            "old one over: a torn one, or one with worn tapes, is replaced from the fleet's spares."
        )
        flow.space(4.0)
    hers, shown = occasions(bag), figures(bag)
    for number, step in enumerate((p for p in points()["step"] if p.when in hers), 1):
        flow.point(f"{number}", step.text.format_map(shown), step.title.format_map(shown), step.source)
    put_joints(flow, bag)
    flow.together(lambda page: _put_hours(page, bag))


def put_joints(flow: Flow, bag: Bag) -> None:
    """Lay out what joins what, in the order it is closed, and what goes through what, tightest first."""
    if not bag.joints:
        return
    flow.heading("What joins what, in the order it is closed", keep=75.0)
    flow.text(MEASURE_FIRST, size=flow.sizes.small, grey=0.25)
    flow.space(1.0)
    joints = [joint_text(joint) for joint in bag.joints]
    for joint in joints:
        said = f"{joint.closing} {joint.strength}".rstrip()
        flow.point(joint.place, said, f"{in_plain_words(joint.name)}: {joint.joined_by}.")
        fits = " ".join(fit.sentence for fit in joint.fits)
        if fits:
            flow.text(fits, size=flow.sizes.small, indent=18.0, grey=0.25)
        flow.space(1.0)
    sources = dict.fromkeys(joint.source for joint in joints if joint.source)
    if sources:
        flow.text(f"Where it comes from: {'; '.join(sources)}.", size=flow.sizes.small, grey=0.25)


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
