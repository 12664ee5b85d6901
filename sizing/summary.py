"""The counts of a run, and what it was run with."""

from __future__ import annotations

import json
from collections import Counter
from pathlib import Path
from typing import Any

from sizing.audit import overall, stage_counts, stages_of
from sizing.model import MusterResult, Standing
from sizing.order.consent_sheet import bought_for, consent_words, to_ask
from sizing.order.together_words import thicker_said
from sizing.order.workshop.told import verdict


def summary(result: MusterResult, made: frozenset[str]) -> dict[str, Any]:
    """The counts of the run, what it was run with, and which parts it made.

    Where nothing but tables was made, nothing was planned or ordered, and nothing of it is said.
    """
    intake = result.intake
    boats = len(intake.fleet)
    whole = overall(result.checks, intake.fleet)
    standings = {
        standing.words: int(sum((check.standing == standing).sum() for check in result.checks))
        for standing in Standing
    }
    by_family: dict[str, dict[str, int]] = {}
    for check in result.checks:
        family = by_family.setdefault(check.check.family, {s.words: 0 for s in Standing})
        for standing in Standing:
            family[standing.words] += int((check.standing == standing).sum())
    computed = len(intake.fleet) - len(result.requirements.not_computed)
    counts = {
        "program": {"name": "drogue-muster", "version": result.program_version},
        "run_for": result.today.isoformat(),
        "inputs": {
            "fleet_sha256": intake.sha256,
            "policy_sha256": result.policy_sha256,
            "catalogue_sha256": result.catalogue_sha256,
            "prices_sha256": result.prices_sha256,
        },
        "rows": {"in": intake.rows_in, "accepted": boats, "rejected": len(intake.rejected)},
        "boats": {
            "computed": computed,
            "not_computed": boats - computed,
            "no_open_shalls": int((whole.open_shalls == 0).sum()),
            "with_open_shalls": int((whole.open_shalls > 0).sum()),
        },
        "stages": stage_counts(stages_of(result)),
        "met": {"all": int(whole.met.sum()), "on_word": int(whole.on_word.sum())},
        "standings": standings,
        "families": by_family,
    }
    if made != {"tables"}:
        left = result.order.would_be
        counts["plans"] = dict(sorted(Counter(plan.choice for plan in result.plans).items()))
        counts["order"] = {
            "lines": len(result.order.lines),
            "problems": len(result.order.problems),
            "currency": result.order.currency,
            "total": str(result.order.total) if result.order.total is not None else None,
            "ask_first": result.order.ask_first,
            "boats": len(bought_for(result.order)),
            "not_ordered": {
                "boats": len(left.rows),
                "not_asked": len(to_ask(result.order)),
                "would_be": str(left.total) if left.total is not None else None,
            },
            "said": consent_words(result.order),
            "came_instead": [
                f"Entry {intake.fleet.text['entry_no'][one.row]}: {one.sentence}"
                for one in result.order.came_for
            ],
            "ropes": thicker_said(result.order),
        }
        plan = result.workshop
        if plan is not None and plan.order:
            counts["workshop"] = {
                "kits": len(plan.order),
                "ready": len(plan.ready),
                "people": plan.people,
                "machines": plan.machines,
                "days": plan.days,
                "said": verdict(plan),
            }
    return counts | {"file_notes": list(intake.file_notes), "made": sorted(made)}


def write_summary(result: MusterResult, made: frozenset[str], path: Path) -> None:
    """Write summary.json."""
    path.write_text(json.dumps(summary(result, made), indent=2, ensure_ascii=False) + "\n", encoding="utf-8")
