"""Which parts each boat needs made or bought so that her open shalls that parts can close are closed.

A finding that is short or absent is closed by parts; one that is unproven is closed by looking, and no part
is ordered on a guess. There is often more than one way: a further section with more cones, new rope under the
cones she has, a whole new drogue. All are worked out here; `sizing.order.choose` takes the cheapest.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from sizing.audit.cones_to_make import (
    all_anew,
    missing_by_count,
    of_another_size,
    on_a_new_line,
    room_for_all,
    too_narrow,
    torn,
)
from sizing.audit.context import AuditContext, without_cone_line
from sizing.audit.device import WHOLE
from sizing.audit.judge import EQUAL_WITHIN
from sizing.audit.line import section_strength_share
from sizing.audit.register import SPECS
from sizing.audit.spec import CheckSpec
from sizing.audit.strength import residual_strength_n
from sizing.model import (
    OPEN_STANDINGS,
    BoolArray,
    CheckColumns,
    MendChoice,
    MendPlan,
    PartGroup,
    Standing,
)

PART_ORDER: tuple[PartGroup, ...] = (
    "cones", "extension", "cone line", "lead line", "bridle", "end weight", "thimbles", "shackles",
    "chafe gear", "attachments", "stowage bag", "recovery gear",
)  # fmt: skip
AS_LOADED = (
    " [Her] parts are sized for [her] displacement as the loaded one, which the sheet does not say. [You] "
    "must say so before they are ordered."
)
BY_THE_WIDTH: frozenset[PartGroup] = frozenset({"bridle", "stowage bag"})
"""Parts that are sized by the width of the transom."""
WAITS = (
    " [Her] {} wait{}: not known yet is how wide [her] transom is, between the strong points. [You] can "
    "measure it."
)
NEW_DROGUE = ("drag.device-aboard", "drag.device-accepted", "drag.equivalent-diameter")
ROPE: frozenset[PartGroup] = frozenset({"lead line", "cone line", "bridle"})


def answers_wanted(checks: Sequence[CheckColumns]) -> frozenset[int]:
    """Return the rows of boats of which something required is not shown that parts could be for.

    Where no part is planned for such a boat, it is not known yet whether there is anything to make.
    """
    of_parts = [r for r in checks if r.check.level == "shall" and SPECS[r.check.id].parts]
    wanted = (np.flatnonzero(r.standing == Standing.UNPROVEN).tolist() for r in of_parts)
    return frozenset(row for rows in wanted for row in rows)


def plan_options(context: AuditContext, checks: Sequence[CheckColumns]) -> tuple[tuple[MendPlan, ...], ...]:
    """Every way to mend each boat, in the order of the fleet; the least kind of work stands first.

    All ways of a boat close the same findings. Which is cheapest is for whoever knows prices.
    """
    closable = [result for result in checks if result.check.level == "shall"]
    splice_line, splice_bridle = _saved_by_splicing(context)
    no_cone_line = without_cone_line(context.fleet)
    unsaid = context.blank("displacement_basis")
    waits = context.requirements.bridle_waits
    entries = [str(entry) for entry in context.fleet.text["entry_no"]]
    options: list[tuple[MendPlan, ...]] = []
    for row, entry in enumerate(entries):
        lacking = [r.check.id for r in closable if r.standing[row] in {Standing.SHORT, Standing.ABSENT}]
        wanting = [check for check in lacking if SPECS[check].of_the is None]  # no part on a simulation alone
        unproven = [r.check.id for r in closable if r.standing[row] == Standing.UNPROVEN]
        if row in context.requirements.not_computed:
            all_left = tuple(f"{entry}/{check}" for check in lacking + unproven)
            reason = context.requirements.not_computed[row]
            options.append((MendPlan(row, "nothing", (), 0, 0.0, reason, leaves=all_left),))
            continue
        groups: set[PartGroup] = set()
        for check_id in wanting:
            groups |= set(
                _parts_for(check_id, SPECS[check_id].parts, bool(splice_line[row]), bool(splice_bridle[row]))
            )
        closes = tuple(
            f"{entry}/{check}"
            for check in wanting
            if ((SPECS[check].parts and not SPECS[check].only_tried) or check == "line.ends")
            and not (waits[row] and BY_THE_WIDTH & set(SPECS[check].parts))
        )
        left = [check for check in (*lacking, *unproven) if f"{entry}/{check}" not in closes]
        still_open = [r.check.id for r in checks if Standing(int(r.standing[row])) in OPEN_STANDINGS]
        if no_cone_line[row]:
            groups.discard("cone line")
        ways = []
        for choice, chosen, cones, reason in _ways(context, row, wanting, groups):
            held: frozenset[PartGroup] = BY_THE_WIDTH if waits[row] else frozenset()
            ordered = tuple(part for part in PART_ORDER if part in chosen and part not in held)
            waiting = tuple(part for part in PART_ORDER if part in chosen and part in held)
            why = reason + AS_LOADED if ordered and unsaid[row] else reason
            why += _waiting_words(waiting)
            kind: MendChoice = choice if ordered else "nothing"
            hours = _hours(context, row, ordered, cones)
            anew = all_anew(wanting) or cones >= int(context.requirements.cones[row])
            more = "drag.cone-count" in wanting
            moot = tuple(
                finding for check in still_open if (finding := f"{entry}/{check}") not in closes
                and _takes_its_place(SPECS[check], kind, ordered, anew=anew, more=more)
                and not held & set(SPECS[check].parts)
            )  # fmt: skip
            leaves = tuple(finding for check in left if (finding := f"{entry}/{check}") not in moot)
            ways.append(
                MendPlan(row, kind, ordered, cones, hours, why, closes, leaves, moot, waiting=waiting)
            )
        options.append(tuple(ways))
    return tuple(options)


def _waiting_words(waiting: Sequence[PartGroup]) -> str:
    """What waits for the width of her transom; nothing where no part does."""
    names = ["bag" if part == "stowage bag" else str(part) for part in waiting]
    return WAITS.format(" and ".join(names), "s" if len(names) == 1 else "") if names else ""


def plan_boats(context: AuditContext, checks: Sequence[CheckColumns]) -> tuple[MendPlan, ...]:
    """The least kind of work for each boat, prices left aside."""
    return tuple(ways[0] for ways in plan_options(context, checks))


def _takes_its_place(
    spec: CheckSpec, choice: MendChoice, groups: Sequence[PartGroup], *, anew: bool, more: bool
) -> bool:
    """Whether the parts take the place of the gear that a check is about.

    New cones do where they are all new (`anew`), or where there are `more` and more is what is asked for: of
    the cones she keeps, what was not known is not known after. What only a trial shows, no part does.
    """
    if spec.only_tried:
        return False
    parts = set(spec.parts) - {"extension"}
    if "cones" in parts and not (anew or (more and "extension" in spec.parts)):
        return False
    return bool(parts and parts <= set(groups)) or (choice == "replace" and spec.of_the_drogue)


def _parts_for(
    check_id: str, parts: tuple[PartGroup, ...], splice_line: bool, splice_bridle: bool
) -> tuple[PartGroup, ...]:
    """Parts that close one finding; where splicing alone gives the strength back, thimbles and not rope."""
    if check_id == "line.ends":
        return ("thimbles",)
    if check_id in {"line.strength-residual", "line.sections"} and splice_line:
        return ("thimbles",)
    if check_id == "bridle.strength-residual" and splice_bridle:
        return ("thimbles",)
    return parts


def _saved_by_splicing(context: AuditContext) -> tuple[BoolArray, BoolArray]:
    """Boats whose knotted line, and whose knotted bridle, would hold the design load once spliced."""
    sizing = context.policy.sizing
    gain = np.where(context.chosen("line_ends", "knotted"), sizing.splice_factor / sizing.knot_factor, 0.0)
    load = context.requirements.design_load_n
    number = context.fleet.number
    with np.errstate(invalid="ignore"):
        lead = residual_strength_n(context, number["lead_line_diameter_m"]).least * gain >= load
        sections = section_strength_share(context).least * gain >= 1.0
        bridle = residual_strength_n(context, number["bridle_diameter_m"], "bridle").least * gain >= load
    return np.asarray(lead & (sections | ~context.series)), np.asarray(bridle)


_Way = tuple[MendChoice, set[PartGroup], int, str]


def _ways(context: AuditContext, row: int, wanting: Sequence[str], groups: set[PartGroup]) -> Iterator[_Way]:
    """Ways to close what is wanting: choice, part groups, new cones, and why."""
    needed = int(context.requirements.cones[row])
    whole = (groups | set(WHOLE)) - {"extension"}
    if not groups:
        reason = "No part closes what is open." if wanting else "Nothing is short that parts would close."
        yield "nothing", set(), 0, reason
        return
    no_cone_line = bool(without_cone_line(context.fleet)[row])
    if (no_cone_line and all_anew(wanting)) or any(check in NEW_DROGUE for check in wanting):
        yield "replace", whole, needed, "[She] has no device that can be brought up to what is needed."
        return
    anew, behind = all_anew(wanting), missing_by_count(context, row, wanting)
    in_place = 0 if anew or behind else torn(context, row, wanting)
    rope = groups & ROPE
    if not (anew or behind or in_place):
        groups = groups - {"cones", "extension"}
    weak = "cone line" in groups or (behind > 0 and _overloaded_by_more(context, row, behind))
    if not (weak or anew or behind or in_place):
        if rope:
            stays = "[her] device" if no_cone_line else "the cone line"
            yield "re-rig", groups, 0, f"New rope is needed; {stays} stays as it is."
        else:
            yield "fittings only", groups, 0, "Cones and line are enough; fittings are not."
        return
    bow = bool(behind and context.chosen("device_from", "bow")[row])
    from_stern = " [She] must set it from the stern: at the bow so many cones prove nothing." if bow else ""
    if not weak and not (anew and (behind or not room_for_all(context, row))):
        choice: MendChoice = "re-rig" if rope else "extend"
        work = _work_on_the_line(behind, in_place, torn(context, row, wanting))
        reason = _cone_line_reason(context, row, behind, work) + from_stern
        made = needed if anew else behind or in_place
        yield choice, groups if behind else groups - {"extension"}, made, reason
        if in_place:
            return  # no other way is less work
    on_line = on_a_new_line(context, row, wanting)
    moved: set[PartGroup] = {*groups - {"cones", "extension"}, "cone line"}
    reason = _moved_reason(context, row, on_line) + from_stern
    yield "re-rig", moved | ({"cones"} if on_line else set()), on_line, reason
    yield "replace", whole, needed, "A whole new drogue, with nothing moved from the old one."


def _moved_reason(context: AuditContext, row: int, on_line: int) -> str:
    """What goes on a new cone line: her own cones, hers and new ones, or new ones only."""
    if on_line and too_narrow(context, row):
        return "New cones go on new rope: the small end of those [she] has does not pass it."
    if on_line and of_another_size(context, row):
        return "New cones go on new rope: those [she] has are of another size than it is laid out for."
    if on_line >= int(context.requirements.cones[row]):
        return "New cones go on new rope; the rest of [her] gear is kept."
    words = "The cones [she] has are moved to new rope"
    if on_line:
        words = f"The cones [she] has and {on_line} new one{'' if on_line == 1 else 's'} go on new rope"
    if np.isnan(context.fleet.number["cone_mouth_m"][row]):
        words += ", if they prove to be of the rally's size"
    return f"{words}."


def _overloaded_by_more(context: AuditContext, row: int, behind: int) -> bool:
    """Whether a section is known not to hold once `behind` cones hang behind the line as it is."""
    return bool(section_strength_share(context, behind).most[row] < 1.0 - EQUAL_WITHIN)


def _work_on_the_line(behind: int, in_place: int, torn_off: int) -> str:
    """What is done to a cone line that is kept."""
    if in_place:
        takes = "1 new cone takes" if in_place == 1 else f"{in_place} new cones take"
        return f"{takes} the place of what is torn or missing"
    if not behind:
        return "new cones go on it"
    work = "a further section carries the missing cones"
    return f"{work}, and torn ones are cut off and no longer counted" if torn_off else work


def _cone_line_reason(context: AuditContext, row: int, behind: int, work: str) -> str:
    """Why the cone line is kept: because it is known to hold, or in the hope that it proves to."""
    if section_strength_share(context, behind).least[row] >= 1.0 - EQUAL_WITHIN:
        return f"The cone line holds; {work}."
    return f"If the cone line aboard proves strong enough to keep, {work}."


def _hours(context: AuditContext, row: int, groups: Sequence[PartGroup], cones: int) -> float:
    """Hours of work, once practised: sew and fit the cones, move old ones to new rope, splice the eyes."""
    rules = context.policy.order
    fitted = cones
    if "cone line" in groups:
        fitted = int(context.requirements.cones[row])
    hours = (cones * rules.sew_minutes_per_cone + fitted * rules.minutes_per_cone) / 60
    return hours + _splices(context, row, groups) * rules.splice_minutes / 60


def _splices(context: AuditContext, row: int, groups: Sequence[PartGroup]) -> int:
    """Eyes to splice: both ends of each run made new, or of all with the thimbles; one of a recovery line."""
    required = int((context.requirements.section_cones[row] > 0).sum())
    hers = int(np.isfinite(context.fleet.section_diameters_m[row]).sum())
    aboard = 0 if without_cone_line(context.fleet)[row] else hers or required
    sections = required if "cone line" in groups else aboard
    runs: dict[PartGroup, int] = {"lead line": 1, "cone line": sections, "bridle": 2}
    renewed = sum(count for group, count in runs.items() if group in groups or "thimbles" in groups)
    return 2 * (renewed + ("extension" in groups)) + ("recovery gear" in groups)
