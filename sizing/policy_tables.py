"""The tables of a rally policy: every rule with its default, bounds, source and stricter side.

Lengths, masses and speeds are text with a unit in the file and SI floats here; `sizing.policy` puts the
tables together.
"""

from __future__ import annotations

from datetime import date
from typing import Annotated, Literal, Self

from pydantic import AfterValidator, Field, model_validator

from sizing.policy_rules import LengthM, MassKg, PolicyTable, SpeedMps, rule, written

Haul = Literal["winch", "tackle"]
"""What a drogue is hauled in with: a line to a winch, or a tackle of rope. Nothing published says which."""

Seam = Literal["open", "lapped"]
"""How the two edges of a cone are joined. Nothing published says which."""

_FT = 0.3048
_IN = 0.0254
_LB = 0.45359237
_KN = 1852 / 3600


class Milestone(PolicyTable):
    """A date before departure by which something is to be done.

    `closes` says which kind of work must be done by then, if the date stands for one: what is to be ordered,
    made, or seen by a scrutineer.
    """

    name: str = Field(min_length=1, max_length=80)
    due: date
    closes: Literal["orders", "work", "inspection"] | None = None


class Rally(PolicyTable):
    """The event itself."""

    name: str = Field("Unnamed rally", min_length=1, max_length=120, description="Name shown on every page")
    officer: str = Field("", max_length=120, description="Title of the office that answers questions")
    contact: str = Field(
        "", max_length=200, description="Where that office is reached: mail address, telephone or web address"
    )
    private_pages: bool = Field(False, description="Whether every boat's page is private")
    departure: date | None = Field(None, description="Date of departure")
    milestones: tuple[Milestone, ...] = Field((), description="Dates before departure")


class PurchaseRules(PolicyTable):
    """Who buys and where it goes, as the order and the papers for suppliers say it; none of it is public."""

    buyer: str = Field("", max_length=120, description="Who buys and pays, as invoices name it")
    delivery: str = Field("", max_length=200, description="Where goods are to be delivered")
    vat_percent: float | None = Field(
        None, ge=0, le=50, description="Value added tax in per cent; prices are asked for without it"
    )


class SizingRules(PolicyTable):
    """Factors and lengths of the sizing."""

    loading_factor: float = rule(
        1.15, "light displacement is multiplied by this", "[assumed]", "higher", 1.0, 1.6
    )
    cone_mouth: LengthM = rule(
        5 * _IN, "mouth diameter of a new cone", "[CG87 4.1.1]", "either", 0.08, 0.4, "m"
    )
    cone_small_end: LengthM = rule(1.5 * _IN, "small end of a new cone", "[memory]", "either", 0.01, 0.2, "m")
    small_end_clearance: LengthM = rule(
        0.003, "small end of a cone over the rope it is threaded on", "[assumed]", "higher", 0.001, 0.05, "m"
    )
    cone_slant: LengthM = rule(6 * _IN, "slant height of a new cone", "[memory]", "either", 0.05, 0.6, "m")
    cone_pitch: LengthM = rule(
        20 * _IN, "from one cone's mouth to the next", "[CG87 4.1.1]", "either", 0.2, 1.5, "m"
    )
    drag_coefficient: float = rule(
        1.2, "drag coefficient of a cone on its mouth area", "[HOERNER, memory]", "lower", 0.5, 1.4
    )
    entrained_mass: MassKg = rule(
        1.5, "water carried by one 5 in cone", "[assumed]", "either", 0.1, 10.0, "kg"
    )
    water_density: float = rule(1025.0, "density of sea water", "[TEOS-10]", "either", 990.0, 1050.0, "kg/m3")
    strength_use: float = rule(
        0.60, "share of new breaking strength the design load may take", "[CG87 6.3]", "lower", 0.1, 0.75
    )
    wet_factor: float = rule(0.85, "strength of wet nylon against dry", "[UFC]", "lower", 0.5, 1.0)
    splice_factor: float = rule(0.90, "strength of an eye splice", "[practice]", "lower", 0.5, 1.0)
    knot_factor: float = rule(0.50, "strength of a knotted end", "[practice]", "lower", 0.2, 0.9)
    lead_line_length: LengthM = rule(
        75 * _FT, "lead line, bridle to first cone", "[practice]", "higher", 5.0, 200.0, "m"
    )
    first_cone_offset: LengthM = rule(
        2 * _FT, "end thimble to the first cone", "[practice]", "either", 0.1, 5.0, "m"
    )
    eye_splice_rope: LengthM = rule(
        1 * _FT, "rope taken up by one eye splice", "[practice]", "higher", 0.05, 3.0, "m"
    )
    max_sections: int = Field(
        3,
        ge=1,
        le=3,
        description="most sections of different diameter in the cone line",
        json_schema_extra={"source": "[policy]", "tighter": "either", "unit": ""},
    )
    least_diameter: LengthM = rule(
        0.010, "thinnest cone line, so that tapes hold", "[assumed]", "higher", 0.006, 0.03, "m"
    )
    bridle_leg_ratio: float = rule(
        2.5, "finished bridle leg over transom width", "[practice]", "higher", 1.0, 6.0
    )
    attachment_share: float = rule(
        0.70, "share of the design load each strong point must hold", "[CG87 6.3]", "higher", 0.5, 1.5
    )
    end_weight_small: MassKg = rule(
        25 * _LB, "end weight to 7,500 lb", "[policy; CG87 6.3]", "higher", 5.0, 60.0, "kg"
    )
    end_weight_middle: MassKg = rule(
        35 * _LB, "end weight at 30,000 lb", "[policy; CG87 6.3]", "higher", 5.0, 60.0, "kg"
    )
    end_weight_large: MassKg = rule(
        50 * _LB, "end weight at 60,000 lb", "[policy; CG87 6.3]", "higher", 5.0, 60.0, "kg"
    )


class SeaRules(PolicyTable):
    """The regular sea in which riding to the drogue is computed; the breaking strike has its own."""

    wave_height: LengthM = rule(
        6.0, "crest to trough of the regular wave", "[assumed]", "higher", 0.5, 20.0, "m"
    )
    wave_period: float = rule(9.0, "period of the regular wave", "[assumed]", "either", 3.0, 20.0, "s")
    wind_speed: SpeedMps = rule(
        40 * _KN, "steady wind that drives her", "[assumed]", "higher", 2.0, 60.0, "m/s"
    )
    working_share: float = rule(
        0.10, "storm working load over new strength", "[CG87 6.3]", "lower", 0.02, 0.25
    )
    storm_cycles: float = rule(
        10_000.0, "load cycles of one storm", "[CG87 3.3.4]", "higher", 100.0, 100_000.0
    )


class DriftRules(PolicyTable):
    """What the wind does to a boat that lies stern to it; low and high ends of what is not known better.

    Room to leeward is reckoned with the high end of the drift that comes of them.
    """

    wind_speed: SpeedMps = rule(
        50 * _KN, "wind at 10 m height that drift is told for", "[assumed]", "higher", 2.0, 60.0, "m/s"
    )
    hull_drag_low: float = rule(
        0.5, "drag coefficient of the hull from astern, low end", "[PYD, quoted]", "either", 0.2, 1.2
    )
    hull_drag_high: float = rule(
        0.68, "drag coefficient of the hull from astern, high end", "[ORC VPP, quoted]", "higher", 0.2, 1.2
    )
    rig_drag_low: float = rule(
        0.63, "drag coefficient of spars and rigging, low end", "[ORC VPP, quoted]", "either", 0.2, 1.5
    )
    rig_drag_high: float = rule(
        1.06, "drag coefficient of spars and rigging, high end", "[PYD, quoted]", "higher", 0.2, 1.5
    )
    wind_exponent_low: float = rule(
        0.10, "wind rises with height to this power, low end", "[quoted]", "lower", 0.0, 0.3
    )
    wind_exponent_high: float = rule(
        0.14, "wind rises with height to this power, high end", "[quoted]", "either", 0.0, 0.3
    )
    cone_drag_spread: float = rule(
        0.2,
        "cones may drag so much less or more than drag_coefficient",
        "[HOERNER, memory]",
        "higher",
        0,
        0.4,
    )

    @model_validator(mode="after")
    def _low_below_high(self) -> Self:
        for name in ("hull_drag", "rig_drag", "wind_exponent"):
            low, high = getattr(self, f"{name}_low"), getattr(self, f"{name}_high")
            if low > high:
                raise ValueError(
                    f"{name}_low is {low:g} and {name}_high {high:g}: write the lower one as low"
                )
        return self


class ConditionRules(PolicyTable):
    """How age and state take strength from a line; all factors multiply breaking strength."""

    state_new: float = rule(1.0, "line as new", "[assumed]", "lower", 0.0, 1.0)
    state_good: float = rule(0.9, "line in good state", "[assumed]", "lower", 0.0, 1.0)
    state_worn: float = rule(0.7, "line worn", "[assumed]", "lower", 0.0, 1.0)
    state_damaged: float = rule(0.0, "line damaged: counts as nothing", "[assumed]", "lower", 0.0, 0.5)
    age_grace_years: float = rule(
        5.0, "years before age takes anything", "[assumed]", "lower", 0.0, 15.0, "years"
    )
    age_loss_per_year: float = rule(
        0.02, "share of strength lost a year after that", "[assumed]", "higher", 0.0, 0.2
    )
    age_limit_years: float = rule(
        15.0,
        "of a line older than this no strength counts as shown",
        "[assumed]",
        "lower",
        1.0,
        30.0,
        "years",
    )
    inspection_days: float = rule(
        365.0, "days an inspection counts", "[assumed]", "lower", 1.0, 1500.0, "days"
    )
    break_test_days: float = rule(
        730.0, "days a break test of the line counts", "[assumed]", "lower", 1.0, 2000.0, "days"
    )


class OrderRules(PolicyTable):
    """Whom the bulk order buys for, and its spares and allowances, in per cent or pieces."""

    ask_first: bool = Field(
        True, description="Whether the rally buys only for boats that said they want it (gear_supply)"
    )

    thicker_pieces: bool = Field(
        False,
        description="Whether a piece of rope may be cut one or two sizes thicker than needed where that is "
        "cheaper for the fleet, all parts fit, and the boat judged again has no finding more",
    )
    thicker_least_saving: float = rule(
        10.0,
        "what each size thicker must save for each piece, in the price book's money: thicker rope is heavier",
        "[assumed]",
        "higher",
        0.0,
        10_000.0,
    )
    cost_of_change: float = rule(
        10.0,
        "what it must save for each piece that is cut of another rope than the last order said, in the price "
        "book's money",
        "[assumed]",
        "either",
        0.0,
        10_000.0,
    )

    spare_cones_percent: float = rule(
        5.0, "spare cones over the fleet", "[assumed]", "higher", 0.0, 100.0, "%"
    )
    spare_hardware_percent: float = rule(
        5.0, "spare thimbles and shackles", "[assumed]", "higher", 0.0, 100.0, "%"
    )
    tapes_per_cone: int = Field(
        3,
        ge=2,
        le=6,
        description="tapes to a cone",
        json_schema_extra={"source": "[practice]", "tighter": "either", "unit": ""},
    )
    tape_length: LengthM = rule(30 * _IN, "one tape, as cut", "[practice]", "higher", 0.3, 2.0, "m")
    seam_allowance: LengthM = rule(
        0.012, "added outside each stitch line of the cone sector", "[assumed]", "either", 0.0, 0.05, "m"
    )
    seam: Seam = Field(
        "open",
        description="how a cone is closed: open (both allowances to one side, two rows of stitches) or "
        "lapped (one edge flat over the other, line on line); common practice, no source",
    )
    hem_allowance: LengthM = rule(
        0.0, "turned in at the mouth; 0 where the rim is cut hot", "[assumed]", "either", 0.0, 0.03, "m"
    )
    knife_gap: LengthM = rule(
        0.003, "between cones on the cloth, for the hot knife", "[assumed]", "either", 0.0, 0.05, "m"
    )
    selvedge_margin: LengthM = rule(
        0.015, "cloth left unused along each selvedge", "[assumed]", "either", 0.0, 0.2, "m"
    )
    hour_value: float = rule(
        10.0,
        "worth of one hour's work, in the price book's money, when ways to mend are compared",
        "[assumed]",
        "either",
        0.0,
        1000.0,
    )
    minutes_per_cone: float = rule(
        12.0, "to fit one cone's six tails, once practised", "[practice]", "either", 1.0, 120.0, "min"
    )
    sew_minutes_per_cone: float = rule(
        8.0, "to cut, baste, sew and turn one cone with its tapes", "[assumed]", "either", 1.0, 120.0, "min"
    )
    splice_minutes: float = rule(
        45.0, "to make one eye splice round a thimble", "[assumed]", "either", 5.0, 240.0, "min"
    )
    cut_step: LengthM = rule(
        0.1, "rope pieces are cut to the next whole step", "[assumed]", "either", 0.01, 1.0, "m"
    )
    spool_end_loss: LengthM = rule(
        0.1, "lost at the end of every spool, roll or drum", "[assumed]", "higher", 0.0, 2.0, "m"
    )
    end_weight_length: LengthM = rule(
        4.0, "longest end weight; heavier chain is taken past it", "[assumed]", "either", 0.5, 20.0, "m"
    )
    chafe_sleeve_length: LengthM = rule(
        1.0, "chafe sleeve on one bridle leg", "[assumed]", "higher", 0.2, 10.0, "m"
    )
    recovery_line_over_leg: LengthM = rule(
        3.0, "what a recovery line is longer than a bridle leg", "[practice]", "higher", 0.5, 30.0, "m"
    )
    recovery_sailing: Haul = Field(
        "winch", description="what a sailing boat hauls her drogue in with; no source, common practice"
    )
    recovery_motor: Haul = Field(
        "tackle", description="what a motor boat hauls her drogue in with; no source, common practice"
    )
    learning_rate: float = rule(
        0.85,
        "time for a cone falls to this share each time the count doubles",
        "[assumed]",
        "either",
        0.6,
        1.0,
    )
    practised_cones: int = Field(
        50,
        ge=1,
        le=1000,
        description="cones after which a crew counts as practised",
        json_schema_extra={"source": "[assumed]", "tighter": "either", "unit": ""},
    )
    rope_minutes_per_piece: float = rule(
        6.0, "to measure, mark, cut and whip one piece of rope", "[assumed]", "either", 1.0, 60.0, "min"
    )
    packing_minutes: float = rule(
        40.0, "to check, flake and pack one drogue", "[assumed]", "either", 5.0, 240.0, "min"
    )
    delivery_margin_days: float = rule(
        5.0,
        "days by which what is ordered comes before the day it is needed on",
        "[assumed]",
        "either",
        0.0,
        90.0,
        "days",
    )


Skill = Literal["cut", "baste", "sew", "turn", "splice", "fit", "check"]
"""What somebody in the workshop can do; cutters cut rope too, and splicers close the last eyes."""


class Crew(PolicyTable):
    """People of the workshop who can do some of the work alone."""

    people: int = Field(ge=1, le=10_000)
    can: tuple[Skill, ...] = Field(min_length=1)


class WorkshopRules(PolicyTable):
    """Who comes to make the kits, with how many machines, for how long; and how a cone's time is parted."""

    people: int = Field(
        12,
        ge=1,
        le=10_000,
        description="people the workshop is planned for",
        json_schema_extra={"source": "[assumed]", "tighter": "either", "unit": ""},
    )
    machines: int = Field(
        4,
        ge=1,
        le=1_000,
        description="sewing machines there are",
        json_schema_extra={"source": "[assumed]", "tighter": "either", "unit": ""},
    )
    days: float = rule(3.0, "days the workshop lasts", "[assumed]", "either", 0.5, 365.0, "days")
    hours_per_day: float = rule(6.0, "hours of work in a day", "[assumed]", "either", 1.0, 12.0, "h")
    cut_minutes_per_cone: float = rule(
        1.5, "of a cone's sewing time, to mark and cut it", "[assumed]", "either", 0.0, 60.0, "min"
    )
    baste_minutes_per_cone: float = rule(
        2.5, "of a cone's sewing time, to lay and baste its tapes", "[assumed]", "either", 0.0, 60.0, "min"
    )
    turn_minutes_per_cone: float = rule(
        0.5, "of a cone's sewing time, to turn and look at it", "[assumed]", "either", 0.0, 60.0, "min"
    )
    crews: tuple[Crew, ...] = Field(
        (), description="people who can do some of the work alone; all others can do everything"
    )

    @model_validator(mode="after")
    def _crews_are_of_the_people(self) -> Self:
        some = sum(crew.people for crew in self.crews)
        if some > self.people:
            raise ValueError(f"the crews have {some} people, and the workshop {self.people}: correct one")
        return self


class AuditRules(PolicyTable):
    """What counts as good enough, beside the figures of the sizing."""

    accepted_devices: tuple[Literal["series drogue", "cone drogue", "parachute", "warps"], ...] = Field(
        ("series drogue", "cone drogue"),
        description="devices the rally takes; each is still judged by its drag",
    )
    accepted_evidence: tuple[
        Literal["certificate", "measured by scrutineer", "photo", "skipper's word"], ...
    ] = Field(
        ("certificate", "measured by scrutineer", "photo"),
        description="what counts as evidence for the figures entered",
    )
    evidence_days: float = rule(
        365.0, "days evidence counts, up to departure", "[assumed]", "lower", 1.0, 2000.0, "days"
    )
    bow_diameter_ratio: float = rule(
        3.0, "from the bow, diameter over the stern figure", "[CG87 6.1]", "higher", 2.0, 6.0
    )
    cone_tolerance: float = rule(
        0.04, "share of the cones that may be wanting", "[CG87 4.1.1]", "lower", 0.0, 0.05
    )
    end_weight_tolerance: float = rule(
        0.10, "share of the end weight that may be wanting (“about”)", "[CG87 6.3]", "lower", 0.0, 0.15
    )
    hold_margin: float = rule(
        0.10,
        "most that speed, run and time on the crest in a strike may lie above those of the rig she needs",
        "[assumed]",
        "lower",
        0.0,
        0.5,
    )
    oversize_ratio: float = rule(1.5, "most drag area over the required", "[assumed]", "lower", 1.0, 4.0)
    pitch_ratio: float = rule(
        3.5, "least pitch over cone mouth (published piece: 4)", "[assumed]", "higher", 1.0, 8.0
    )
    light_cloth_limit: MassKg = rule(
        30_000 * _LB,
        "displacement from which light rip-stop is not enough",
        "[CG87 6.3]",
        "lower",
        1000.0,
        60_000.0,
        "kg",
    )
    leg_difference_share: float = rule(
        0.01, "most difference between the legs, over leg length", "[assumed]", "lower", 0.0, 0.1
    )
    spread_share_mono: float = rule(
        0.50, "least bridle spread over beam, monohull", "[assumed]", "higher", 0.1, 1.0
    )
    spread_share_multi: float = rule(
        0.70, "least bridle spread over beam, multihull", "[assumed]", "higher", 0.1, 1.0
    )
    carry_limit: MassKg = rule(
        50.0,
        "heaviest stowed drogue, without end weight, for one bag",
        "[assumed]",
        "lower",
        5.0,
        200.0,
        "kg",
    )


class Waiver(PolicyTable):
    """One finding set aside for one boat by a named officer until a date. It never changes a number."""

    entry_no: str = Field(min_length=1, max_length=40)
    check: str = Field(min_length=1, max_length=80)
    reason: Annotated[str, AfterValidator(written)] = Field(min_length=3, max_length=500)
    officer: Annotated[str, AfterValidator(written)] = Field(min_length=1, max_length=120)
    until: date
