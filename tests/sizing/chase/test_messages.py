"""A message for each skipper: her own words and nobody else's details, narrow lines, safe names."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sizing.audit import findings_of
from sizing.chase import (
    asked_in,
    chase_actions,
    getting_of,
    last_days,
    messages_for,
    tasks_of,
    write_messages,
)
from sizing.chase.messages import ABOUT, _open_words, message_names
from sizing.errors import OutputError
from sizing.model import AdvisedColumns, Standing
from sizing.revision.lines import columns
from tests.sizing.revision.runs import boat, demo, demo_rules, run

SAFE = re.compile(r"[a-z0-9][a-z0-9_-]*\.txt")
DEVICES = {"con", "prn", "aux", "nul", *(f"com{n}" for n in range(10)), *(f"lpt{n}" for n in range(10))}


@pytest.fixture(scope="module")
def texts() -> dict[str, str]:
    policy = demo_rules().policy
    actions = chase_actions(demo(), policy)
    return dict(messages_for(demo(), policy, actions, lambda entry: f"boats/page-of-{len(entry)}.html"))


def test_every_row_gets_one_message_and_there_is_a_note_on_keeping_them(texts: dict[str, str]) -> None:
    assert len(texts) == demo().intake.rows_in + 1
    assert "publish none of them" in " ".join(texts[f"{ABOUT}.txt"].split())


def test_a_message_says_what_is_short_what_to_do_by_when_and_where_to_read_on(texts: dict[str, str]) -> None:
    words = " ".join(texts["024.txt"].split())
    assert words.startswith(
        "Ferdy Lovelassen skipper@honestmistake.example Subject: Honest Mistake, entry 024: "
    )
    assert "Your drogue has only 126 sound cones; 136 are needed, 10 more." in words
    assert re.search(r"\d kN \([\d,]+ lbf\)", words)  # both systems
    assert re.search(r"To be done by \d+ \w+ 2027 \([^)]+\): 1\. ", words)
    assert re.search(r"Your share of what is bought: [\d,]+\.\d\d EUR\.", words)
    assert "boats/page-of-3.html" in words
    assert "To answer or ask: Long Passage Safety Office safety@aldermoyle.example" in words
    assert "It does not say that a boat is safe" in words


def test_a_message_tells_the_jobs_and_questions_of_her_page_and_counts_what_it_leaves_out(
    texts: dict[str, str],
) -> None:
    """002: “4 jobs, 1 advised” on her page, and “6 to do, 4 more advised” in her message."""
    result, days = demo(), last_days(demo(), demo_rules().policy)
    plans = {plan.row: plan for plan in result.plans}
    names = message_names([str(entry) for entry in result.intake.fleet.text["entry_no"]])
    asking = 0
    for row in range(len(result.intake.fleet)):
        entry, found = (
            result.intake.fleet.entry(row),
            findings_of(result.checks, result.intake.fleet, row),
        )
        load, getting = float(result.requirements.chosen_attachment_n[row]), getting_of(result, row)
        reason = result.requirements.not_computed.get(row, "")
        tasks = tasks_of(found, plans.get(row), entry, days, load, reason, getting)
        told = " ".join(texts[names[entry.entry_no]].split())
        must = sum(task.level == "shall" for task in tasks)
        if must:
            assert f": {must} job{'' if must == 1 else 's'} to do" in told, entry.entry_no
        assert not re.search(r"\d+ (things?|to do)", told), entry.entry_no
        numbers = [int(number) for number in re.findall(r" (\d)\. [A-Z]", told)]
        assert numbers == list(range(1, min(len(tasks), 5) + 1)), entry.entry_no
        for number, task in enumerate(tasks[:5], start=1):
            assert f" {number}. {task.title}." in told, entry.entry_no
        assert (f"And {len(tasks) - 5} more job" in told) == (len(tasks) > 5), entry.entry_no
        asked = asked_in(tasks, found, entry)
        asking += len(asked) > 5
        assert (f"- and {len(asked) - 5} more, on your boat's page" in told) == (len(asked) > 5)
        assert all(" ".join(one.text.split()) in told for one in asked[:5]), entry.entry_no
    assert asking


def test_a_boat_with_nothing_open_is_not_called_safe(texts: dict[str, str]) -> None:
    idle = [text for text in texts.values() if "There is nothing to do for your boat today." in text]
    assert idle
    assert all("does not say that a boat is safe" in " ".join(text.split()) for text in idle)
    assert all("To be done" not in text for text in idle)


def test_a_skipper_whose_row_was_not_taken_is_asked_in_her_words(texts: dict[str, str]) -> None:
    """She was told to delete a row, and to fill in a cell, of a sheet that the office has."""
    (text,) = [text for text in texts.values() if "96OO kg" in text]
    assert "skipper@doubleentry.example" in text
    assert "Your displacement: in “96OO kg”, “OO kg” is not a unit known here." in " ".join(text.split())
    refused = [" ".join(t.split()) for t in texts.values() if "could not be taken into the list" in t]
    assert len(refused) == len(demo().intake.rejected)
    for told in refused:
        asked = told.partition("put this right:")[2].partition("To answer or ask")[0]
        assert not re.search(r"\b(cells?|rows?|columns?|headers?|sheet|file)\b", asked), asked
    assert any("Two entries have the number “031”. Which number is yours?" in told for told in refused)


def test_no_message_holds_another_skippers_details(texts: dict[str, str]) -> None:
    fleet = demo().intake.fleet
    own = message_names([str(entry) for entry in fleet.text["entry_no"]])
    for row, entry in enumerate(fleet.text["entry_no"]):
        text = texts[own[entry]]
        for column in ("skipper", "email"):
            mine = fleet.text[column][row]
            others = {value for at, value in enumerate(fleet.text[column]) if at != row and value != mine}
            assert not [value for value in others if len(value) > 3 and value in text]
        assert not [phone for phone in fleet.text["phone"] if phone and phone in text]


def test_lines_fit_and_hold_no_hidden_signs(texts: dict[str, str]) -> None:
    for text in texts.values():
        assert max(columns(line) for line in text.split("\n")) <= 76
        assert text.replace("\n", "").isprintable()
        assert text.endswith("\n")


def test_hostile_cells_are_plain_text_in_a_message() -> None:
    hostile = boat(
        entry_no="../../etc\\quay:*?", boat_name="A\u202eB\n\nBcc: all@rally.example", skipper="=cmd|' /C'",
        email="a@b.example\r\nSubject: x", end_weight="3 kg",
    )  # fmt: skip
    result, rules = run([hostile, boat()])
    texts = messages_for(result, rules.policy, chase_actions(result, rules.policy))
    (name,) = [name for name in texts if name.startswith("etc")]
    assert SAFE.fullmatch(name)
    lines = texts[name].split("\n")
    assert "\u202e" not in texts[name]
    assert lines[:2] == ["=cmd|' /C'", "a@b.example Subject: x"]
    assert lines[2].startswith("Subject: AB Bcc: all@rally.example, entry ../../etc\\quay:*?: ")


def test_a_figure_that_could_not_be_computed_is_not_shown_as_a_number() -> None:
    result, rules = run([boat(displacement="290 t", loa="46 m", beam="9 m", transom_width="6 m")])
    if not result.requirements.not_computed:
        pytest.fail("choose a boat that no rope in the catalogue can hold")
    actions = chase_actions(result, rules.policy)
    text = messages_for(result, rules.policy, actions)["01.txt"]
    assert "What your boat needs cannot be worked out yet" in " ".join(text.split())
    assert "nan" not in text
    assert any(a.owner == "safety officer" and "cannot be worked out" in a.sentence for a in actions)


@given(st.lists(st.text(max_size=60)))
def test_names_of_any_entries_are_safe_and_told_apart(entries: list[str]) -> None:
    names = message_names(entries)
    assert list(names) == list(dict.fromkeys(entries))
    assert len({name.casefold() for name in names.values()}) == len(names)
    for name in names.values():
        assert SAFE.fullmatch(name)
        assert name.removesuffix(".txt") not in DEVICES | {ABOUT}
        assert len(name) <= 80


def test_plain_numbers_are_their_own_names() -> None:
    names = message_names(["017", "B-12", "b-12", "CON", "read-me-first", "", "...", "a" * 500, "17.", "-5"])
    assert names["017"] == "017.txt"
    assert names["B-12"] == "b-12.txt"
    assert names["b-12"].startswith("b-12-")
    assert names["CON"].startswith("con-")
    assert names["17."].startswith("17-")
    assert names[""].startswith("entry-")
    assert len(names["a" * 500]) < 60


def test_messages_are_written_as_they_are_and_a_bad_folder_is_refused(tmp_path: Path) -> None:
    write_messages({"1.txt": "Žluťoučký\n"}, tmp_path)
    assert (tmp_path / "1.txt").read_bytes() == "Žluťoučký\n".encode()
    with pytest.raises(OutputError, match=r"2\.txt: it cannot be written"):
        write_messages({"2.txt": ""}, tmp_path / "missing")


def test_what_stays_below_an_advised_limit_is_told_to_the_skipper_and_chased() -> None:
    """Her page counts it among what is recommended and open, so her message does too."""
    result = demo()
    row = 0
    place = next(at for at, check in enumerate(result.checks) if check.check.id == "attachment.load")
    check = result.checks[place]
    assert Standing(int(check.standing[row])) is Standing.MEETS
    standing = np.full(len(check.standing), Standing.NOT_APPLICABLE, dtype=np.int8)
    standing[row] = Standing.SHORT
    limit = np.where(standing == Standing.SHORT, 1.2 * check.required, np.nan)
    told = replace(check, advised=AdvisedColumns(limit, standing))
    plain = replace(check, advised=None)
    checks = [(*result.checks[:place], one, *result.checks[place + 1 :]) for one in (plain, told)]
    before, after = (replace(result, checks=one) for one in checks)
    rules = demo_rules().policy
    actions = [chase_actions(one, rules) for one in (before, after)]
    more = [action for action in actions[1] if action not in actions[0]]
    assert [(a.row, a.level, a.checks) for a in more] == [(row, "should", ("attachment.load",))]
    assert "More is advised: " in more[0].sentence
    texts = [
        " ".join(dict(messages_for(one, rules, asked, None))["001.txt"].split())
        for one, asked in zip((before, after), actions, strict=True)
    ]
    assert "More is advised: " not in texts[0]
    assert "More is advised: " in texts[1]


@pytest.mark.parametrize(
    ("required", "advised", "words"),
    [
        (0, 0, "There is nothing to do for your boat today. Thank you."),
        (1, 0, "To do for your boat before departure: 1 job."),
        (0, 1, "There is nothing you must do. 1 job is advised."),
        (2, 0, "To do for your boat before departure: 2 jobs."),
        (2, 1, "To do for your boat before departure: 2 jobs. 1 more is advised."),
        (0, 2, "There is nothing you must do. 2 jobs are advised."),
    ],
)
def test_how_much_is_open_agrees_in_number(required: int, advised: int, words: str) -> None:
    assert _open_words(required, advised) == words
