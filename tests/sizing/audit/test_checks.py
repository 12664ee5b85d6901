"""What holds of the checks beyond their own cases: figures by hand, silence, contradictions, words."""

from __future__ import annotations

import re
from itertools import combinations

import pytest

from sizing.audit import REGISTER, Voice, audit_fleet, in_voice, plan_options, sentence
from sizing.audit.cases import CLEAT, HUGE, LIGHT
from sizing.audit.line import DAMAGED
from sizing.fields import CHOICES, FIELDS
from sizing.model import Standing
from sizing.policy import Policy
from sizing.units import both
from tests.sizing.audit.boats import boat, checks, context_of, findings, fleet_of

LBF = 4.4482216152605  # NIST SP 811
LB = 0.45359237  # NIST SP 811


def test_a_ready_boat_has_nothing_open() -> None:
    still_open = {f.check.id: f.standing.words for f in findings(boat()).values() if f.is_open}
    assert still_open == {}


def test_a_silent_sheet_passes_no_shall_check() -> None:
    """Missing evidence is never a pass, on any check that a sheet could answer."""
    silent = {name: ("" if name in QUIET else value) for name, value in boat().items()}
    for finding in findings(silent).values():
        if finding.check.level == "shall":
            assert finding.standing is not Standing.MEETS, finding.check.id


QUIET = {
    name
    for name in boat()
    if name not in {"entry_no", "boat_name", "boat_type", "loa", "transom_width", "displacement"}
}


@pytest.mark.parametrize("kind", CHOICES["attachment_type"])
def test_words_without_a_figure_meet_no_shall_that_asks_for_one(kind: str) -> None:
    """“Cleat”, “solid”, “new” and the like say how it is, never how much it holds."""
    sized = {"entry_no", "boat_name", "loa", "transom_width", "displacement"}
    figures = {f.name for f in FIELDS if f.kind not in ("choice", "text", "yes_no")} - sized
    words = {name: "" if name in figures else cell for name, cell in boat().items()}
    for device in CHOICES["device_type"]:
        for finding in findings(words | {"attachment_type": kind, "device_type": device}).values():
            if finding.check.level == "shall" and finding.check.dimension not in ("ratio", "count"):
                assert finding.standing is not Standing.MEETS, finding.check.id
    assert findings(words)["drag.cone-count"].standing is not Standing.MEETS
    assert findings(words)["line.sections"].standing is not Standing.MEETS


def test_the_numbers_of_a_20000_lb_boat() -> None:
    """CG87 6.1 and 6.2 by hand: exponent ln(36000/7500)/ln(8) = 0.7543; 7500 x (20/7.5)^0.7543 lbf."""
    found = findings(boat())
    load_n = 7500 * (20_000 / 7_500) ** 0.75434 * LBF
    assert found["hardware.shackles"].required == pytest.approx(load_n, rel=1e-4)
    assert found["attachment.load"].required == pytest.approx(0.70 * load_n, rel=1e-4)  # CG87 6.3
    assert found["line.strength-new"].required == pytest.approx(load_n / 0.60, rel=1e-4)  # CG87 6.3
    assert found["bridle.leg-length"].required == pytest.approx(2.5 * 2.8)  # common practice, no source
    # policy line through 25 lb at 7,500 lb and 35 lb at 30,000 lb, within CG87 6.3's words
    assert found["end-weight.mass"].required == pytest.approx((25 + 10 * 12_500 / 22_500) * LB, rel=1e-6)


def test_a_cleat_as_built_is_not_enough_for_a_20000_lb_boat() -> None:
    """ISO 15084 aft mooring point (from memory): 3.0 x (12.2 + 10.8)/2 - 3.8 = 30.7 kN against 48.9 kN."""
    finding = findings(boat(**CLEAT))["attachment.load"]
    assert finding.found == pytest.approx(30_700)
    assert finding.required == pytest.approx(48_950, rel=2e-3)
    assert finding.standing is Standing.SHORT
    assert finding.margin_percent == pytest.approx((30_700 / 48_950 - 1) * 100, abs=0.2)


def test_a_margin_over_what_is_allowed_is_a_share_of_what_is_allowed() -> None:
    """1 % of a leg of 7 m [assumed]: 70 mm are allowed."""
    for found, margin in (("105 mm", -50.0), ("35 mm", 50.0), ("0 mm", 100.0)):
        gear = boat(bridle_leg_difference=found)
        assert findings(gear)["bridle.symmetry"].margin_percent == pytest.approx(margin)


def test_what_a_damaged_line_holds_is_explained_and_its_remedy_fits() -> None:
    found = findings(boat(line_state="damaged"))
    for check in ("line.strength-residual", "line.sections", "bridle.strength-residual"):
        assert found[check].found == 0.0
        assert DAMAGED in found[check].note
        assert found[check].advice.startswith(("Replace", "Make"))
    assert DAMAGED not in findings(boat(lead_line_diameter="12 mm"))["line.strength-residual"].note


def test_a_cleat_without_waterline_is_still_short_if_the_most_it_can_be_is() -> None:
    finding = findings(boat(**CLEAT, lwl=""))["attachment.load"]
    assert finding.standing is Standing.SHORT


def test_short_legs_carry_more_than_the_design_load() -> None:
    """Two legs of 1.6 m on 2.8 m: theta = 61 deg; square to the pull one carries F / sin 122 deg = 1.18 F."""
    long, short = (findings(boat(bridle_leg_length=leg)) for leg in ("7.0 m", "1.6 m"))
    for check in ("bridle.strength-new", "bridle.strength-residual"):
        required = (long[check].required, short[check].required)
        assert required[0] is not None
        assert required[1] == pytest.approx(1.18 * required[0], rel=2e-3)
        assert "so short" in short[check].note
        assert "so short" not in long[check].note


def test_bolt_group_by_hand() -> None:
    """ISO 898-1 As of M12 = 84.3 mm2; ISO 3506-1 A4-70 Rm = 700 MPa: 6 x 0.6 x 700 x 84.3 = 212.4 kN."""
    finding = findings(boat())["attachment.bolts"]
    assert finding.found == pytest.approx(212_436, rel=1e-3)


def test_knots_between_their_bounds_are_unproven() -> None:
    """A line that holds if spliced and not if knotted is neither a pass nor a fail until somebody looks."""
    unsaid = findings(boat(line_ends="", lead_line_diameter="26 mm"))["line.strength-residual"]
    spliced = findings(boat(line_ends="spliced", lead_line_diameter="26 mm"))["line.strength-residual"]
    knotted = findings(boat(line_ends="knotted", lead_line_diameter="26 mm"))["line.strength-residual"]
    assert spliced.standing is Standing.MEETS
    assert knotted.standing is Standing.SHORT
    assert unsaid.standing is Standing.UNPROVEN
    assert unsaid.found == pytest.approx(knotted.found or 0)


def test_a_single_cone_drogue_by_its_diameter() -> None:
    """CG87 6.1: at 20,000 lb the equivalent diameter is 4 ft x (20/7.5)^0.1531 = 4.65 ft."""
    small = boat(device_type="cone drogue", device_diameter="1.2 m", cone_count="", cone_mouth="")
    enough = small | {"device_diameter": "1.5 m"}
    assert findings(small)["drag.equivalent-diameter"].standing is Standing.SHORT
    assert findings(enough)["drag.equivalent-diameter"].standing is Standing.MEETS
    required = findings(small)["drag.equivalent-diameter"].required
    assert required == pytest.approx(4.648 * 0.3048, rel=1e-3)
    assert findings(small)["drag.cone-count"].standing is Standing.NOT_APPLICABLE


def test_from_the_bow_the_diameter_is_two_to_three_times() -> None:
    """CG87 6.1."""
    bow = boat(
        device_type="parachute", device_from="bow", device_diameter="3.6 m", cone_count="", cone_mouth=""
    )
    found = findings(bow)["drag.equivalent-diameter"]
    assert found.required == pytest.approx(3 * 4.648 * 0.3048, rel=1e-3)
    assert found.standing is Standing.SHORT


def test_one_set_from_the_bow_can_be_large_enough_and_not_too_large() -> None:
    """CG87 6.1: from the bow two to three times the diameter, so four to nine times the area."""
    bow = boat(
        device_type="parachute", device_from="bow", device_diameter="4.4 m", cone_count="", cone_mouth=""
    )
    assert findings(bow)["drag.equivalent-diameter"].standing is Standing.MEETS
    assert findings(bow)["drag.oversize"].standing is Standing.MEETS
    assert findings(bow | {"device_diameter": "5.6 m"})["drag.oversize"].standing is Standing.SHORT
    assert findings(bow | {"device_from": ""})["drag.oversize"].standing is Standing.UNPROVEN


@pytest.mark.parametrize("kind", ["cone drogue", "parachute"])
def test_enough_for_the_stern_proves_nothing_where_the_end_is_not_said(kind: str) -> None:
    """CG87 6.1: from the bow two to three times the diameter."""
    single = boat(device_type=kind, device_from="", device_diameter="1.5 m", cone_count="", cone_mouth="")
    assert findings(single)["drag.equivalent-diameter"].standing is Standing.UNPROVEN
    assert findings(single | {"device_from": "stern"})["drag.equivalent-diameter"].standing is Standing.MEETS
    big = single | {"device_diameter": "4.4 m"}
    assert findings(big)["drag.equivalent-diameter"].standing is Standing.MEETS


def test_a_mouth_that_stands_for_the_diameter_stands_for_it_in_every_check() -> None:
    single = boat(device_type="cone drogue", device_diameter="", cone_count="", cone_mouth="0.6 m")
    assert findings(single)["drag.equivalent-diameter"].standing is Standing.SHORT
    assert findings(single)["drag.oversize"].standing is Standing.MEETS


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"device_type": "cone drogue", "device_diameter": "1.5 m"}, "counts several cones"),
        ({"device_type": "none", "cone_count": "", "lead_line_length": "23 m"}, "gives gear"),
    ],
)
def test_what_contradicts_itself_is_said(change: dict[str, str], words: str) -> None:
    assert words in findings(boat(**change))["drag.device-aboard"].note


def test_an_attachment_said_to_be_none_and_yet_rated_is_asked_about() -> None:
    finding = findings(boat(attachment_type="none"))["attachment.fitting"]
    assert finding.standing is Standing.ABSENT
    assert "say which" in finding.note


def test_a_rating_above_what_the_bolts_hold_proves_no_more_than_the_bolts() -> None:
    """ISO 898-1 As of M8 = 36.6 mm2; ISO 3506-1 A4-70 Rm = 700 MPa: 2 x 0.6 x 700 x 36.6 = 30.7 kN."""
    finding = findings(boat(attachment_rating="400 kN", attachment_bolts="2 x M8 A4-70"))["attachment.load"]
    assert finding.found == pytest.approx(30_744, rel=2e-3)
    assert "no more than that is proven" in finding.note


def test_what_a_loaded_displacement_alone_would_meet_is_not_met_where_nobody_says_loaded() -> None:
    """By hand, light x 1.15 [assumed] is 23,000 lb: 7500 x (23/7.5)^0.75434 lbf = 77.7 kN against 75 kN."""
    assert pytest.approx(77_700, rel=2e-3) == 7500 * (23_000 / 7_500) ** 0.75434 * LBF
    said = findings(boat(shackle_rating="75 kN"))["hardware.shackles"]
    unsaid = findings(boat(shackle_rating="75 kN", displacement_basis=""))["hardware.shackles"]
    assert said.standing is Standing.MEETS
    assert unsaid.standing is Standing.UNPROVEN
    assert "does not say" in unsaid.note
    assert unsaid.required == pytest.approx(said.required or 0)


def test_a_rally_that_does_not_load_a_light_figure_has_no_doubt_of_one() -> None:
    policy = Policy.model_validate(
        {"sizing": {"loading_factor": 1.0}, "reasons": {"sizing.loading_factor": "All boats are weighed."}}
    )
    unsaid = findings(boat(shackle_rating="75 kN", displacement_basis=""), policy)["hardware.shackles"]
    assert unsaid.standing is Standing.MEETS


SILENT_IS_DECIDED = {
    "bridle_material",  # that of the line is taken, and a note says so
    "bridle_state",
    # What silence means in these columns is said on the boat's page, with a finding or a note of its own.
    "device_type",  # a count of several cones names a series drogue
    "attachment_type",  # a stated strength is that of some attachment; attachment.fitting is open
}


def test_silence_never_stands_better_than_the_worst_answer() -> None:
    """Where one answer to a question would keep a check from being met, no answer does not meet it."""
    asked = {name: words for name, words in CHOICES.items() if name not in {"boat_type", *SILENT_IS_DECIDED}}
    cells = [(column, word) for column, words in asked.items() for word in ("", *words)]
    silent = {column: at for at, (column, word) in enumerate(cells) if not word}
    for told in checks(*(boat(**{column: word}) for column, word in cells)):
        for (column, word), standing in zip(cells, told.standing, strict=True):
            if standing not in {Standing.MEETS, Standing.NOT_APPLICABLE}:
                assert told.standing[silent[column]] != Standing.MEETS, (column, word, told.check.id)


def test_two_blanks_are_never_better_than_one() -> None:
    """Every pair of columns left blank, against each of the two left blank alone."""
    columns = sorted(QUIET)
    pairs = list(combinations(columns, 2))
    alone = {column.check.id: column.standing for column in checks(*(boat(**{c: ""}) for c in columns))}
    both_blank = checks(*(boat(**{first: "", second: ""}) for first, second in pairs))
    place = {column: at for at, column in enumerate(columns)}
    for column in both_blank:
        for at, pair in enumerate(pairs):
            if column.standing[at] == Standing.MEETS:
                for one in pair:
                    assert alone[column.check.id][place[one]] == Standing.MEETS, (pair, column.check.id)


def test_outside_the_published_range_is_marked() -> None:
    """CG87 6.1: 7,500 to 60,000 lb."""
    assert "7,500 lb" in findings(boat(**LIGHT))["data.published-range"].note


def test_every_check_is_whole() -> None:
    ids = [spec.check.id for spec in REGISTER]
    assert len(ids) == len(set(ids)) >= 35
    for spec in REGISTER:
        check = spec.check
        assert re.fullmatch(r"[a-z-]+\.[a-z-]+", check.id)
        assert re.fullmatch(r"\[.+\]", check.source), check.id
        for text in (check.sentence, check.rule, check.consequence, check.remedy, check.ask):
            assert text.strip(), check.id


def test_what_is_told_in_no_voice_names_the_boat_in_none() -> None:
    """What to do and why is read by her own people and by the office: it has no “she” and no “her”."""
    for spec in REGISTER:
        check = spec.check
        for text in (check.consequence, check.remedy, check.provide, check.ask):
            assert not re.search(r"\b(?:she|her|hers)\b", text, re.IGNORECASE), (check.id, text)


@pytest.mark.parametrize("voice", ["your", "her"])
def test_the_reason_of_a_plan_is_told_in_the_voice_of_its_reader(voice: Voice) -> None:
    weak = {"section_diameters": "8 mm", "line_state": "poor", "displacement_basis": ""}
    cells = [weak, {"device_type": "none"}, {"cone_count": "20"}, {"cone_count": "20", "device_from": "bow"}]
    fleet = fleet_of(*(boat(entry_no=str(at), **given) for at, given in enumerate(cells)))
    context = context_of(fleet)
    reasons = [way.reason for ways in plan_options(context, audit_fleet(context)) for way in ways]
    told = " ".join(in_voice(reason, voice) for reason in reasons)
    assert "[" not in told
    words = set(re.findall(r"\b(?:she|her|you|your)\b", told.lower()))
    assert words <= ({"you", "your"} if voice == "your" else {"she", "her"})
    assert words


def test_an_open_finding_says_what_to_do_in_both_systems() -> None:
    finding = findings(boat(bridle_leg_length="6.0 m"))["bridle.leg-length"]
    assert sentence(finding, "your") == (
        "Each leg of the bridle is only 6 m (19 ft 8 in) long; 7 m (23 ft) is needed."
    )
    assert finding.advice == "Make a longer bridle."
    assert finding.id == "1/bridle.leg-length"


def test_who_has_none_is_told_to_make_one_not_to_better_it() -> None:
    nothing = dict.fromkeys(("cone_count", "cone_mouth", "bridle_leg_length", "bridle_diameter"), "")
    open_now = findings(boat(device_type="none", attachment_type="none", attachment_rating="", **nothing))
    told = {name: f.advice for name, f in open_now.items() if f.standing is Standing.ABSENT}
    assert {"drag.cone-count", "bridle.leg-length", "bridle.strength-new", "attachment.load"} <= set(told)
    for name, words in told.items():
        assert words
        assert not re.search(r"\b(longer|stronger|thicker|further|heavier|larger|add)\b", words, re.I), name


@pytest.mark.parametrize("change", [{"attachment_rating": "48.9 kN"}, {"last_inspected": "2026-02-28"}])
def test_a_shortfall_that_rounding_hides_is_still_told(change: dict[str, str]) -> None:
    """Required and found may read alike; what to do then says by how much they differ."""
    for finding in findings(boat(**change)).values():
        if finding.standing is Standing.SHORT and finding.found is not None:
            assert finding.required is not None
            needed, found = (
                both(value, finding.check.dimension) for value in (finding.required, finding.found)
            )
            assert needed != found or " too " in sentence(finding, "her")
    exact = findings(boat())["attachment.load"].required
    assert exact is not None
    close = findings(boat(attachment_rating=f"{exact - 20.0:.0f} N"))["attachment.load"]
    assert close.standing is Standing.SHORT
    assert "too little" in sentence(close, "her")


def test_what_is_only_a_lower_bound_is_not_called_found() -> None:
    unsaid = findings(boat(line_ends="", lead_line_diameter="26 mm"))["line.strength-residual"]
    assert unsaid.found is not None
    assert both(unsaid.found, "force") not in sentence(unsaid, "her")
    assert sentence(unsaid, "her").startswith("The entry does not say whether the ends are spliced")
    assert "line ends" in unsaid.note


def test_light_cloth_is_not_called_short_where_nothing_is_computed() -> None:
    """Nothing of the catalogue joins the bridle of 290 t to her lead line, so nothing is known of her."""
    assert "could not be computed" in findings(boat(**HUGE))["drag.cone-cloth"].note


def test_a_plan_to_get_it_back_proves_nothing_until_it_was_tried() -> None:
    planned = findings(boat(retrieval="planned"))["retrieval.means"]
    assert planned.standing is Standing.UNPROVEN
    assert "mild weather" in planned.note


def test_what_rests_on_memory_says_so() -> None:
    """The built minimum of a mooring point and the shear share of a bolt are quoted from memory."""
    cleat = findings(boat(**CLEAT))["attachment.load"]
    assert "memory" in cleat.note
    assert "memory" in cleat.check.source
    assert "memory" in findings(boat())["attachment.bolts"].check.source
