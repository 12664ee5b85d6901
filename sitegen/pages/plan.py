"""The plan that mends a boat, in words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from sitegen.pages.parts import money, plural
from sitegen.plain_text import visible
from sizing.audit import in_voice
from sizing.chase import practised
from sizing.model import MendPlan

TITLES: Final = {
    "nothing": "Nothing has to be made",
    "fittings only": "Renew fittings only",
    "extend": "Extend the drogue with a further section",
    "replace": "Make a whole new drogue",
}
NOTHING_YET: Final = "Nothing to make as far as is known"
NOT_KNOWN: Final = "Not known yet"
NOT_SHOWN_DECIDES: Final = "What is not shown yet decides what has to be made."


@dataclass(frozen=True)
class PlanView:
    """What is to be done for her, in words."""

    choice: str
    reason: str
    parts: str
    cones: str
    hours: str
    materials: str
    runner_up: str


def plan_title(plan: MendPlan, *, computed: bool, unknown: bool = False) -> str:
    """Return what is to be done, as a title, in the voice of nobody yet.

    Where figures are missing, or an answer (`unknown`) that may change what is made, it does not say nothing.
    """
    if not computed or (unknown and plan.choice == "nothing"):
        return NOT_KNOWN
    if plan.choice == "nothing" and plan.leaves:
        return NOTHING_YET
    if plan.choice == "extend" and "extension" not in plan.groups:
        return "New cones on the line [she] has"
    return _new_rope(plan) if plan.choice == "re-rig" else TITLES[plan.choice]


def _new_rope(plan: MendPlan) -> str:
    """The cones she has may stay where they are, go on new rope, or go on it with new ones."""
    if "cone line" in plan.groups:
        return "New rope with new cones on it" if plan.cones_to_make else "New rope under the cones [she] has"
    parts = ["new cones"] if plan.cones_to_make else []
    parts += [f"new {group}" for group in plan.groups if group in {"lead line", "bridle"}]
    return " and ".join(parts).capitalize()


def choice_words(plan: MendPlan, *, computed: bool, unknown: bool = False) -> str:
    """Return what is to be done, for a table; nothing to make is not nothing to do."""
    title = in_voice(plan_title(plan, computed=computed, unknown=unknown), "her")
    if computed and plan.choice == "nothing" and plan.leaves:
        return f"{title}; {plural(len(plan.leaves), 'point')} to answer"
    return title


def plan_view(plan: MendPlan, *, computed: bool, unknown: bool = False) -> PlanView:
    """Return the plan as her page shows it."""
    reason = NOT_SHOWN_DECIDES if unknown and plan.choice == "nothing" else in_voice(plan.reason, "your")
    return PlanView(
        choice=in_voice(plan_title(plan, computed=computed, unknown=unknown), "your"),
        reason=visible(reason) if computed else "What you need could not be computed.",
        parts=", ".join("a further section of line" if g == "extension" else g for g in plan.groups),
        cones=plural(plan.cones_to_make, "cone") if plan.cones_to_make else "",
        hours=practised(plan.hours) if plan.hours else "",
        materials=money(plan.materials, plan.currency) if plan.materials is not None else "",
        runner_up=visible(plan.runner_up),
    )
