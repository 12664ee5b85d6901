"""What is said of a finding: every check at every standing, and never the opposite of how she stands.

The rules for words are common practice in writing for the public, no source.
"""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Iterator
from datetime import date, timedelta
from functools import cache

import numpy as np
import pytest

from sizing.audit import REGISTER, Voice, audit_fleet, findings_of, sentence
from sizing.audit.sentences import FALLBACK, VOICES
from sizing.model import AdvisedColumns, Finding, Standing
from sizing.policy import Policy
from tests.sizing.audit.boats import boat, context_of, findings, fleet_of
from tests.sizing.audit.test_cases import CASES, judged

IDS = [spec.check.id for spec in REGISTER]
NOT_OF = {
    Standing.MEETS: r"\bonly\b|\btoo \w|does not say|nobody|nothing published|no strength|counts for nothing",
    Standing.SHORT: r"near enough|does not say|is not shown|nobody",
    Standing.ABSENT: r"does not say|is not shown|enough|\bonly\b",
    Standing.UNPROVEN: r"\bonly \d|; .* (needed|advised)\.$|near enough|\bis found",
    Standing.NOT_APPLICABLE: r"\bonly\b|does not say|is not shown|needed",
}
"""Words that would say something else than how she stands."""
SAYS_IT = {
    Standing.ABSENT: r"\bno\b|\bnothing\b|\bnone\b|\bnot fixed\b",
    Standing.UNPROVEN: r"\b(not|nobody|no|nothing|contradicts?|alone|unusual|outside)\b|too little|"
    r"lies before|more cones are said|several lengths|hold less than",
}
"""Words of which one has to stand in every sentence of a standing."""


@cache
def said() -> dict[str, dict[Standing, list[Finding]]]:
    """The findings of all cases of all checks, each sentence once."""
    context, results = judged()
    found: dict[str, dict[Standing, dict[str, Finding]]] = {}
    for row in range(len(context.fleet)):
        for finding in findings_of(list(results.values()), context.fleet, row):
            by_standing = found.setdefault(finding.check.id, {})
            by_standing.setdefault(finding.standing, {})[finding.said] = finding
    return {
        check: {standing: list(texts.values()) for standing, texts in by_standing.items()}
        for check, by_standing in found.items()
    }


def spoken(check: str) -> Iterator[tuple[Finding, Voice, str]]:
    for several in said()[check].values():
        for finding in several:
            for voice in VOICES:
                yield finding, voice, sentence(finding, voice)


@pytest.mark.parametrize("check", IDS)
def test_every_standing_has_its_own_sentence(check: str) -> None:
    declared = {standing for name, standing, _ in CASES if name == check}
    assert declared <= said()[check].keys()
    texts = {standing: {f.said for f in several} for standing, several in said()[check].items()}
    for standing in declared:
        assert not texts[standing] & set(FALLBACK.values())
        others = set().union(*(texts[other] for other in declared - {standing}))
        assert not texts[standing] & others


@pytest.mark.parametrize("check", IDS)
def test_no_sentence_says_the_opposite_of_how_she_stands(check: str) -> None:
    for finding, _, text in spoken(check):
        assert not re.search(NOT_OF[finding.standing], text, re.IGNORECASE), (finding.standing, text)
        must = SAYS_IT.get(finding.standing, "")
        assert re.search(must, text, re.IGNORECASE), (finding.standing, text)
        assert text != finding.check.sentence or finding.standing is Standing.MEETS


@pytest.mark.parametrize("check", IDS)
def test_sentences_are_whole_and_in_one_voice(check: str) -> None:
    for _, voice, text in spoken(check):
        assert re.fullmatch(r"[A-Z0-9].*\.", text), text
        assert not re.search(r"[\[\]{}]|  |\.\.|\bnan\b|\ba [aeio]|\bnone is\b", text), text
        assert not re.search(r"\b(shall|should|unproven|absent|open|short)\b", text, re.IGNORECASE), text
        other = {"your": r"\b(her|hers) (drogue|bridle|skipper|cones|gear)\b", "her": r"\byour?\b"}[voice]
        assert not re.search(other, text, re.IGNORECASE), text
        assert "0 kN is found" not in text
        assert not re.search(r"\bAt least [\d,]+ is\b", text), text


@pytest.mark.parametrize("check", IDS)
def test_number_and_verb_agree(check: str) -> None:
    for _, _, text in spoken(check):
        assert not re.search(r"(?<![\d.,])1 (?:\w+ )?(?:cones|bags|years|days)\b", text), text
        assert not re.search(r"(?<![\d.,])(?!1 )[\d,.]+ (?:sound )?(?:cone|bag|year|day)\b", text), text
        assert not re.search(r"(?<![\d.,])1 are\b|(?<![\d.,])(?!1 )[\d,]+ is (?:needed|advised)\b", text), (
            text
        )


@pytest.mark.parametrize(
    ("torn", "words"),
    [("0", "No cone is torn or missing."), ("1", "1 cone is torn or missing."), ("2", "2 cones are torn or "
                                                                                      "missing."),
     ("126", "126 cones are torn or missing.")],
)  # fmt: skip
def test_as_many_as_there_are(torn: str, words: str) -> None:
    assert sentence(findings(boat(cones_torn=torn))["drag.torn-cones"], "your") == words


@pytest.mark.parametrize(
    ("cones", "words"), [("125", "125 cones; 125 are needed."), ("60", "only 60 sound cones")]
)
def test_cones_are_told_as_cones(cones: str, words: str) -> None:
    """20,000 lb: 125 cones of 5 in [CG87 6.1]."""
    text = sentence(findings(boat(cone_count=cones))["drag.cone-count"], "your")
    assert text.startswith("Your drogue has ")
    assert words in text


@pytest.mark.parametrize(
    ("ahead", "words"), [(75, "will be 22 years old on 15 May 2027"), (0, "is 22 years old on")]
)
def test_what_is_judged_for_the_start_is_told_in_the_future(ahead: int, words: str) -> None:
    old = fleet_of(boat(made_year="2005", line_state="good"))
    context = context_of(
        old, Policy.model_validate({"rally": {"departure": date(2027, 3, 1) + timedelta(ahead)}})
    )
    told = {f.check.id: sentence(f, "your") for f in findings_of(audit_fleet(context), old, 0)}
    assert words in told["condition.age"]
    assert words in told["line.strength-residual"]
    assert told["condition.age"].startswith("Your line ")


def test_only_what_is_not_said_is_asked_for() -> None:
    """Of five things that make a strength, the one that is missing; all that are, where several are."""
    state = findings(boat(line_state=""))["line.strength-residual"]
    assert sentence(state, "her").startswith("The entry does not say what state the line is in.")
    assert "Her skipper can" in sentence(state, "her")
    assert state.advice == "Look along the whole line and say its state."
    several = findings(boat(line_state="", line_ends="", made_year=""))["line.strength-residual"]
    assert several.advice.count(".") == 3
    assert "diameter" not in several.advice


def test_a_waived_finding_is_told_as_it_is_without_the_waiver() -> None:
    waiver = {
        "entry_no": "1", "check": "drag.cone-count", "officer": "An officer", "reason": "Coastal leg.",
        "until": date(2027, 6, 1),
    }  # fmt: skip
    rules = Policy.model_validate({"waivers": [waiver]})
    finding = findings(boat(cone_count="60"), rules)["drag.cone-count"]
    assert finding.standing is Standing.WAIVED
    assert sentence(finding, "your").startswith(
        "Set aside by the rally: your drogue has only 60 sound cones;"
    )


def test_a_lack_too_small_to_be_seen_is_said() -> None:
    context = context_of(fleet_of(boat()))
    result = next(r for r in audit_fleet(context) if r.check.id == "attachment.load")
    less = result.required[0] * (1 - 1e-5)
    finding = findings(boat(attachment_rating=f"{less:.1f} N"))["attachment.load"]
    assert finding.standing is Standing.SHORT
    assert re.search(r" That is 0\.\d+ kN \(.*\) too little\.$", sentence(finding, "her"))


def test_a_limit_that_is_advised_besides_is_said_with_it() -> None:
    context = context_of(fleet_of(boat()))
    result = next(r for r in audit_fleet(context) if r.check.id == "attachment.load")
    further = AdvisedColumns(1.5 * result.required, np.array([Standing.SHORT], dtype=np.int8))
    (finding,) = findings_of([dataclasses.replace(result, advised=further)], context.fleet, 0)
    assert sentence(finding, "her").endswith("More is advised: 73.5 kN (16,600 lbf); that is not reached.")


def test_the_age_of_the_rope_is_told_of_the_rope_and_that_of_the_cones_of_the_cones() -> None:
    """A boat with new cones on old rope was told that her drogue was too old."""
    found = findings(boat(made_year="2005", cones_year="2024"))
    assert sentence(found["condition.age"], "your").startswith("Your line ")
    assert found["condition.cones-age"].standing is Standing.MEETS
    assert sentence(found["condition.cones-age"], "your").startswith("The cones ")
