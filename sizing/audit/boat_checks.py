"""Checks of the boat herself that whoever surveys her for such a sea looks at."""

from __future__ import annotations

from sizing.audit.cases import NO_DEVICE
from sizing.audit.judge import judged_by_word
from sizing.audit.spec import CheckSpec, declare
from sizing.model import Ask, Says

CHECKS: tuple[CheckSpec, ...] = (
    declare(
        judged_by_word("stern_openings", meets=("looked at, strong",), short=("weak places found",),
                       unproven=("not looked at",)),
        "boat.openings", "Transom, cockpit and companionway stand a jet of water.",
        rule="checked for a jet of 15 ft/s", source="[CG87 6.4]", level="should",
        consequence="Stern-on, the crest comes down on the weakest openings.",
        remedy="Strengthen hatch boards, lockers and windows aft, on a surveyor's advice.",
        ask="Have transom, cockpit and companionway looked at for a jet of 15 ft/s (4.6 m/s).",
        says=Says(
            meets="Transom, cockpit and companionway were looked at, and are strong.",
            short="Weak places were found in transom, cockpit or companionway.",
            unproven={"": "Nobody has looked whether transom, cockpit and companionway stand a jet of "
                          "water. [You] or a "
                          "surveyor can."},
        ),
        columns=("stern_openings",), short=({"stern_openings": "weak places found"},),
        unproven=({"stern_openings": ""}, {"stern_openings": "not looked at"}),
        not_applicable=(NO_DEVICE,),
    ),
    declare(
        judged_by_word("helm_lashing", meets=("tried",), absent=("none",), unproven=("fitted",)),
        "boat.helm", "The helm can be lashed, and that was tried.",
        rule="lashing or stops that hold the rudder amidships", source="[practice]", level="should",
        consequence="A free rudder slams over in a crest and breaks its stops.",
        remedy="Make a lashing for tiller or wheel and try it.",
        ask="Try the lashing, and say so.",
        says=Says(
            meets="The helm can be lashed, and that was tried.",
            absent="There is nothing to lash the helm with.",
            unproven={"helm_lashing": Ask("how the helm is lashed", "try the lashing, and say so"),
                      "": "A lashing for the helm is fitted, and was not tried yet. [You] can try it."},
        ),
        columns=("helm_lashing",),
                absent=({"helm_lashing": "none"},),
        unproven=({"helm_lashing": ""}, {"helm_lashing": "fitted"}),
        not_applicable=(NO_DEVICE,),
    ),
    declare(
        judged_by_word("cutting_gear", meets=("knife each side",), short=("knife",), absent=("none",)),
        "boat.knife", "A knife is fixed on each side aft.",
        rule="serrated knife each side, within reach clipped on", source="[practice]", level="should",
        consequence="A leg, a bight or a person cannot be cut free in time.",
        remedy="Fix a serrated knife on each side aft.",
        ask="Say what a leg or a person would be cut free with.",
        says=Says(
            meets="A knife is fixed on each side aft.",
            short="There is only one knife aft; one on each side is {needed}.",
            absent="There is no knife fixed aft.",
            unproven={"cutting_gear": Ask("what a leg or a person would be cut free with",
                                          "say what a leg or a person would be cut free with")},
        ),
        columns=("cutting_gear",), short=({"cutting_gear": "knife"},), absent=({"cutting_gear": "none"},),
        not_applicable=(NO_DEVICE,),
    ),
)  # fmt: skip
