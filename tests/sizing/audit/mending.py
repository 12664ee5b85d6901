"""A boat's entry as it would read once a plan's parts are fitted, for the tests of plans."""

from __future__ import annotations

import math

from sizing.audit import AuditContext
from sizing.model import MendPlan
from sizing.order.pieces import pieces_for
from tests.sizing.audit.boats import CATALOGUE

NEW_ROPE = {"line_material": "nylon double braid", "line_state": "new", "line_ends": "spliced",
            "made_year": "2027"}  # fmt: skip


def mended(entered: dict[str, str], plan: MendPlan, context: AuditContext) -> dict[str, str]:
    """The entry with the plan's parts aboard; AssertionError where they do not go together.

    The columns that hold for all rope stay as they are; `NEW_ROPE` is how they read of new rope.
    """
    need, row, groups = context.requirements, plan.row, set(plan.groups)
    ropes, entry = CATALOGUE.ropes, dict(entered)
    entry |= _cones(entered, plan, context)
    if plan.choice == "replace":
        entry |= {"device_type": "series drogue", "device_from": "stern"}
    if "cone line" in groups:
        used = [int(rope) for rope in need.section_rope[row] if rope >= 0]
        entry["section_diameters"] = "; ".join(_mm(float(ropes.diameter_m[rope])) for rope in used)
        entry["section_cones"] = "; ".join(str(int(n)) for n in need.section_cones[row] if n > 0)
    elif entry["cone_count"] != entered["cone_count"] and entered["section_cones"]:
        hung = int(entry["cone_count"]) - int(entered["cone_count"] or "0")
        *inboard, last = entered["section_cones"].split(";")
        entry["section_cones"] = "; ".join([*inboard, str(max(int(last) + hung, 0))])
    if plan.cones_to_make == int(need.cones[row]) and entry["section_diameters"]:
        thickest = max(float(cell.split()[0]) for cell in entry["section_diameters"].split(";"))
        entry["cone_small_end"] = f"{thickest + 3.0} mm"  # cut for the rope under them [assumed clearance]
    if "lead line" in groups:
        entry["lead_line_diameter"] = _mm(float(ropes.diameter_m[need.lead_rope[row]]))
        entry["lead_line_length"] = _mm(float(need.lead_length_m[row]))
    if "bridle" in groups:
        entry["bridle_diameter"] = _mm(float(ropes.diameter_m[need.bridle_rope[row]]))
        entry["bridle_leg_length"] = _mm(float(need.bridle_leg_m[row]))
        entry |= {"bridle_material": "nylon double braid", "bridle_state": "new", "bridle_year": "2027"}
    if "end weight" in groups:
        chains = CATALOGUE.end_weights
        pieces = pieces_for(plan, context.fleet, need, context.policy, CATALOGUE)
        chain = next(piece for piece in pieces if piece.kind == "chain")
        mass = float(chains.mass_kg_per_m[chains.id.index(chain.item)]) * (chain.length_m or 0.0)
        entry["end_weight"] = f"{mass:.6f} kg"
    if "thimbles" in groups:
        entry |= {"thimble_type": "reinforced", "line_ends": "spliced"}
        ropes_mm = [entry[name] for name in ("lead_line_diameter", "bridle_diameter") if entry[name]]
        entry["thimble_for"] = max(ropes_mm, key=lambda cell: float(cell.split()[0]), default="")
    if "shackles" in groups:
        entry["shackle_rating"] = f"{CATALOGUE.shackles.breaking_load_n[need.shackle[row]]:.0f} N"
        entry["end_weight_joint"] = "locked shackle"
    if "chafe gear" in groups:
        entry["chafe_gear"] = "fitted"
    if "attachments" in groups:
        rating = f"{need.attachment_load_n[row] + 1.0:.0f} N"
        entry |= {"attachment_type": "dedicated plate", "attachment_rating": rating, "attachment_bolts": ""}
    return entry


def _cones(entered: dict[str, str], plan: MendPlan, context: AuditContext) -> dict[str, str]:
    """Count and mouth of the cones aboard afterwards; the mouth is the one of equal area where two mix."""
    row, made, groups = plan.row, plan.cones_to_make, set(plan.groups)
    needed, standard = int(context.requirements.cones[row]), float(context.requirements.cone_mouth_m[row])
    count = int(context.fleet.value("cone_count", row) or 0)
    torn = int(context.fleet.value("cones_torn", row) or 0)
    sound = max(count - torn, 0)
    mouth = context.fleet.value("cone_mouth_m", row) or standard
    if "cone line" in groups:
        assert not made or "cones" in groups
        kept = min(sound, needed - made)
        if entered["cone_count"]:
            assert kept + made == needed, f"{kept} cones kept and {made} made for {needed} places"
    elif "extension" in groups:
        assert entered["condition"] != "poor", f"poor cones stay on {count} places before an extension"
        kept = sound
    elif made:
        assert made in {needed, torn}
        assert not entered["cone_count"] or made <= count, f"{made} cones for {count} places"
        kept = 0 if made == needed else sound
    else:
        return {}
    entry = {"cones_torn": "0"} if torn else {}
    if entered["cone_count"] or made == needed:
        entry["cone_count"] = str(kept + made)
    if (entered["cone_mouth"] or made == needed) and kept + made:
        area = kept * mouth**2 + made * standard**2
        entry["cone_mouth"] = _mm(math.sqrt(area / (kept + made)))
    if made == needed and not kept:
        heavy = (
            float(context.requirements.displacement_used_kg[row]) >= context.policy.audit.light_cloth_limit
        )
        entry |= {"condition": "new", "cone_cloth": "heavy" if heavy else "light rip-stop",
                  "cones_torn": "0", "cone_mouth_smallest": _mm(standard)}  # fmt: skip
    return entry


def _mm(metres: float) -> str:
    return f"{metres * 1000:.6f} mm"
