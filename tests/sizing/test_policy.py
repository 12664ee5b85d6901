"""The policy file: defaults, bounds, reasons, and messages that name line and key."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from sizing.errors import PolicyError
from sizing.policy import Policy, rules
from sizing.policy_file import load_policy, parse_policy, policy_template


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


def test_unreadable_files(tmp_path: Path) -> None:
    with pytest.raises(PolicyError, match="cannot be read"):
        load_policy(tmp_path / "none.toml")
    binary = tmp_path / "binary.toml"
    binary.write_bytes(b"\xff\xfe\x00\x01")
    with pytest.raises(PolicyError, match="UTF-8"):
        load_policy(binary)
