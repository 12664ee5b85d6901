"""What a run writes: tables, order, papers and messages, the snapshot, and the site."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path

from api.output_folder import PARTS, settle, staged
from api.parts import ALL, ORDER, PAPERS, SITE, TABLES
from api.second_process import SecondProcess
from sitegen import build_site
from sitegen.addresses import page_addresses
from sizing.chase import chase_actions, chase_csv, messages_for, write_messages
from sizing.intake import write_rejects
from sizing.model import MusterResult
from sizing.order.loft.cloth_jobs import cloth_jobs
from sizing.policy import Policy
from sizing.progress import Progress, silent
from sizing.revision import (
    ChangeReport,
    Snapshot,
    change_report_text,
    changes_csv,
    compare,
    officer_key,
    snapshot_of,
    write_snapshot,
)
from sizing.story import RallyRules
from sizing.summary import write_summary

SNAPSHOT, KEY = "snapshot.json", "officer.key"


def write_outputs(
    result: MusterResult,
    rules: RallyRules,
    out: Path,
    *,
    second: SecondProcess,
    make: frozenset[str] = ALL,
    before: Snapshot | None = None,
    base_url: str = "",
    progress: Progress = silent,
) -> ChangeReport | None:
    """Write what `make` names below `out`; the old parts stay until all the new ones are whole.

    With the snapshot of an earlier run, what changed since is written too, and returned. `base_url` is
    where the site will be on the web: bag labels and messages point there. `second` writes tables, order and
    papers while the site is made here.
    """
    with staged(out) as stage:
        tables = stage / "tables"
        tables.mkdir()
        patterns = _patterns(result, rules, second) if SITE in make else None
        entries = [str(entry) for entry in result.intake.fleet.text["entry_no"]]
        pages = page_addresses(entries, base_url or "site")
        papers = second.hand(
            "api.paper_work", "write_paper_work", result, rules.policy, rules.catalogue, rules.prices, make,
            stage, [pages[entry] for entry in entries] if base_url else None,
        )  # fmt: skip
        write_rejects(result.intake, tables / "rejects.csv")
        if PAPERS in make:
            _write_for_people(result, rules.policy, stage, pages)
        changes = _write_memory(result, rules, out, stage, before) if make != {TABLES} else None
        write_summary(result, make, stage / "summary.json")

        def rest_is_whole() -> None:
            papers()
            settle(stage)  # so that the new site stands beside old tables for no longer than renaming takes

        if patterns is None:
            papers()
        else:
            build_site(
                result, rules.policy, rules.catalogue, out / "site", base_url=base_url, changes=changes,
                downloads=patterns(), progress=progress, before_publishing=rest_is_whole,
            )  # fmt: skip
    return changes


def left_as_they_were(make: frozenset[str], out: Path) -> list[str]:
    """What an earlier run made below `out` and this one did not, by its name there."""
    made = {"tables", "summary.json"}
    made |= {"order"} if make & {ORDER, PAPERS} else set()
    made |= {"messages"} if PAPERS in make else set()
    made |= {"site"} if SITE in make else set()
    made |= {SNAPSHOT} if make != {TABLES} else set()
    return [name for name in ("site", *PARTS) if name not in made and (out / name).exists()]


def _patterns(
    result: MusterResult, rules: RallyRules, second: SecondProcess
) -> Callable[[], Mapping[str, bytes]]:
    """Begin the cone patterns, which the boats' pages offer."""
    jobs = cloth_jobs(result.order, rules.policy, rules.catalogue)
    return second.hand("api.paper_work", "pattern_files", jobs, rules.policy.order.tapes_per_cone)


def _write_for_people(result: MusterResult, policy: Policy, stage: Path, pages: Mapping[str, str]) -> None:
    """Write what is to be done by whom, and a message to each skipper."""
    actions = chase_actions(result, policy)
    (stage / "tables" / "chase.csv").write_bytes(chase_csv(actions, result.today))
    (stage / "messages").mkdir()
    write_messages(messages_for(result, policy, actions, pages.__getitem__), stage / "messages")


def _write_memory(
    result: MusterResult, rules: RallyRules, out: Path, stage: Path, before: Snapshot | None
) -> ChangeReport | None:
    """Write what a later run compares itself with, and what changed since the earlier one."""
    key = officer_key(out / KEY)
    snapshot = snapshot_of(result, rules.policy, rules.catalogue, key=key, previous=before)
    write_snapshot(snapshot, stage / SNAPSHOT)
    if before is None:
        return None
    changes = compare(before, snapshot)
    (stage / "tables" / "changes.csv").write_bytes(changes_csv(changes))
    (stage / "tables" / "changes.txt").write_text(change_report_text(changes), encoding="utf-8")
    return changes
