"""The policy file: defaults, bounds, reasons, and messages that name line and key."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path

import pytest

from sizing.errors import PolicyError
from sizing.policy import Policy, choices, rules
from sizing.policy_file import load_policy, parse_policy, policy_template
from sizing.policy_words import doubts


def test_an_empty_file_is_the_basis() -> None:
    assert parse_policy(b"", "empty.toml") == Policy()


def test_published_values_of_the_basis() -> None:
    sizing = Policy().sizing
    assert sizing.cone_mouth == pytest.approx(0.127)  # CG87 4.1.1: 5 in
    assert sizing.cone_pitch == pytest.approx(0.508)  # CG87 4.1.1: 90 cones in 150 ft
    assert sizing.attachment_share == 0.70  # CG87 6.3
    assert 0.60 <= sizing.strength_use <= 0.75  # CG87 6.3
    assert sizing.wet_factor == 0.85  # UFC 4-159-03, wet nylon


def test_every_rule_has_a_source_and_a_meaning() -> None:
    for rule in rules(Policy()):
        assert re.fullmatch(r"\[.+\]", rule.source), rule.key
        assert rule.meaning, rule.key
        assert not rule.looser


def test_the_template_says_every_key_and_is_a_valid_policy() -> None:
    template = policy_template()
    assert parse_policy(template.encode(), "template.toml") == Policy()
    for rule in rules(Policy()):
        assert rule.key.split(".")[1] in template


def test_what_drogues_are_hauled_in_with_is_documented_and_shown() -> None:
    template = policy_template()
    for key in ("recovery_sailing", "recovery_motor"):
        assert f"# {key} = " in template
    policy = parse_policy(
        template.replace('# recovery_motor = "tackle"', 'recovery_motor = "winch"').encode(), "t"
    )
    assert {choice.key: choice.value for choice in choices(policy)}["order.recovery_motor"] == "winch"
    with pytest.raises(PolicyError, match="write 'winch' or 'tackle'"):
        parse_policy(b'[order]\nrecovery_motor = "oxen"\n', "rally.toml")


def test_the_template_uncommented_is_still_the_basis() -> None:
    """Each documented default, taken as written, gives the default back."""
    wanted = [rule.key.split(".")[1] for rule in rules(Policy())]
    lines = []
    for line in policy_template().splitlines():
        bare = line.removeprefix("# ")
        if line.startswith("[") or bare.split(" =")[0] in wanted:
            lines.append(bare)
    policy = parse_policy("\n".join(lines).encode(), "whole.toml")
    for rule in rules(policy):
        assert rule.value == pytest.approx(rule.default, rel=1e-5), rule.key


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (
            '[sizing]\nstrength_use = 0.60\nlead_line = "75 ft"\n',
            ["line 3", "sizing.lead_line", "no such key"],
        ),
        ("[sizing]\n\nstrength_use = 2\n", ["line 3", "sizing.strength_use", "0.75"]),
        ("[sizing]\nlead_line_length = 75\n", ["line 2", "with its unit"]),
        ('[sizing]\nlead_line_length = "75"\n', ["line 2", "unit"]),
        ("[sizing]\nstrength_use = 0.70\n", ["line 2", "sizing.strength_use", "looser", "reasons"]),
        ("[sizing\nx=1", ["not valid TOML", "line 1"]),
        ("[sizing]\nwet_factor = nan\n", ["line 2", "sizing.wet_factor"]),
        ('[reasons]\n"sizing.nothing" = "x"\n', ["names no rule"]),
        ('[checks]\n"line.residual" = "maybe"\n', ["line 2", "shall"]),
        ('[[waivers]]\nentry_no = "1"\n', ["waivers", "officer"]),
    ],
)
def test_bad_policies_name_line_and_key(text: str, words: list[str]) -> None:
    with pytest.raises(PolicyError) as caught:
        parse_policy(text.encode(), "rally.toml")
    for word in ["rally.toml", *words]:
        assert word in str(caught.value)


def test_a_loosened_rule_with_a_reason_is_taken_and_reported() -> None:
    text = '[sizing]\nstrength_use = 0.70\n[reasons]\n"sizing.strength_use" = "certified rope, new"\n'
    loose = [rule for rule in rules(parse_policy(text.encode(), "rally.toml")) if rule.looser]
    assert [(rule.key, rule.reason) for rule in loose] == [("sizing.strength_use", "certified rope, new")]


def test_a_tightened_rule_needs_no_reason() -> None:
    policy = parse_policy(b'[sizing]\nlead_line_length = "30 m"\n', "rally.toml")
    assert policy.sizing.lead_line_length == 30.0


@pytest.mark.parametrize(
    ("text", "place"),
    [
        ('[rally]\nofficer = "Safety office (safety@rally.example)"\n', "line 2, key rally.officer"),
        ('[rally]\nname = "Write to safety@rally.example"\n', "line 2, key rally.name"),
        ('[rally]\nmilestones = [{ name = "tell safety@rally.example", due = 2027-01-01 }]\n',
         "key rally.milestones (block 1).name"),
        ('[[waivers]]\nentry_no = "1"\ncheck = "a"\nreason = "seen"\nofficer = "safety@rally.example"\n'
         "until = 2027-01-01\n", "line 5, key waivers (block 1).officer"),
        ('[[waivers]]\nentry_no = "1"\ncheck = "a"\nreason = "says safety@rally.example"\nofficer = "B"\n'
         "until = 2027-01-01\n", "line 4, key waivers (block 1).reason"),
        ('[audit]\ncarry_limit = "55 kg"\n[reasons]\n"audit.carry_limit" = "ask safety@rally.example"\n',
         "key reasons.audit.carry_limit"),
    ],
)  # fmt: skip
def test_an_address_in_another_text_is_refused_at_once(text: str, place: str) -> None:
    with pytest.raises(PolicyError) as caught:
        parse_policy(text.encode(), "rally.toml")
    assert f"{place}: “safety@rally.example” is a mail address" in caught.value.found
    assert "write the office's address as contact in [rally]" in caught.value.found


def test_the_office_is_reached_at_its_contact() -> None:
    text = '[rally]\nofficer = "Safety office"\ncontact = "safety@rally.example, +00 555 0100"\n'
    assert parse_policy(text.encode(), "rally.toml").rally.contact == "safety@rally.example, +00 555 0100"
    assert '# contact = "safety@rally.example"' in policy_template()
    with pytest.raises(PolicyError, match="at most 200 signs"):
        parse_policy(f'[rally]\ncontact = "{"x" * 201}"\n'.encode(), "rally.toml")


def test_unreadable_files(tmp_path: Path) -> None:
    with pytest.raises(PolicyError, match="cannot be read"):
        load_policy(tmp_path / "none.toml")
    binary = tmp_path / "binary.toml"
    binary.write_bytes(b"\xff\xfe\x00\x01")
    with pytest.raises(PolicyError, match="UTF-8"):
        load_policy(binary)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ('[workshop]\npeople = "many"\n', "line 2, key workshop.people: “many” is not a whole number"),
        ("[workshop]\npeople = -3\n", "key workshop.people: -3 is too little; at least 1 is possible"),
        ('[sizing]\nleast_diameter = "12 m"\n', "12 m is too much; at most 0.03 m is possible"),
        ('[sizing]\nleast_diameter = "12 kg"\n', "“kg” is a unit of mass; use one of m, cm, mm, ft, in"),
        ('[audit]\ncarry_limit = "60 kg"\n', "60 kg is looser than the basis (50 kg, [assumed])"),
        ('[rally]\ndeparture = "15 May 2027"\n', "“15 May 2027” is not a date; write year-month-day"),
        ("[rally]\nname = 7\n", "7 is not text; put it in quotes"),
        ('[checks]\n"line.lead-length" = "must"\n', "“must” is not known here; write 'shall' or 'should'"),
        ('[[waivers]]\nentry_no = "1"\ncheck = "a"\nreason = "seen"\nuntil = 2027-01-01\n',
         "key waivers (block 1).officer: it is missing"),
        ('[[waivers]]\nentry_no = "1"\ncheck = "a"\nreason = "   "\nofficer = "o"\nuntil = 2027-01-01\n',
         "key waivers (block 1).reason: nothing is written there; write a few words"),
        ('[[waivers]]\nentry_no = "1"\ncheck = "a"\nreason = "why"\nofficer = "\u200b"\n'
         "until = 2027-01-01\n",
         "key waivers (block 1).officer: nothing is written there; write a few words"),
        (2 * ('[[waivers]]\nentry_no = "1"\ncheck = "a"\nreason = "seen"\nofficer = "office"\n'
              "until = 2027-01-01\n"),
         "a of entry “1” is waived twice"),
    ],
)  # fmt: skip
def test_wrong_values_are_told_in_plain_words_with_units(text: str, words: str) -> None:
    with pytest.raises(PolicyError) as caught:
        parse_policy(text.encode(), "rally.toml")
    assert words in caught.value.found
    assert "Input should" not in caught.value.found


def test_dates_in_an_odd_order_are_told() -> None:
    text = '[rally]\ndeparture = 2027-05-15\nmilestones = [{ name = "seen", due = 2027-07-08 }]\n'
    policy = parse_policy(text.encode(), "rally.toml")
    assert doubts(policy, date(2026, 11, 25)) == [
        "Policy: the milestone “seen”, 2027-07-08, lies after the departure, 2027-05-15."
    ]
    assert "lies before the day of this run, 2027-06-01" in doubts(policy, date(2027, 6, 1))[0]
    assert doubts(Policy(), date(2027, 6, 1)) == []
