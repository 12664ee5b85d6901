"""Imports go one way, as DEVELOPERS.md says: api -> sitegen -> sizing, and inside sizing down the flow.

Imports inside functions count. So does a file that no rule below covers: it fails, so that the rule is
written when the file is.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
OURS = ("api", "sitegen", "sizing", "fleet_demo", "tests")

BASE = (
    "sizing.entry_key",
    "sizing.errors",
    "sizing.mail_address",
    "sizing.samples",
    "sizing.spoken",
    "sizing.units",
)
NOUNS = ("sizing.model", "sizing.field_kinds", "sizing.fields", *BASE)
TABLES = (
    "sizing.delimited", "sizing.raw_table", "sizing.spreadsheet", "sizing.workbook_parts", "sizing.writing",
)  # fmt: skip
RULES = ("sizing.policy", "sizing.policy_words", "sizing.policy_file", "sizing.catalogue", *NOUNS)
BELOW_THE_SEASON = ("api.judging", "api.settings", "api.storage", "api.trail")
MAKING = ("api.output_folder", "api.parts", "api.second_process")
STEPS = ("sizing.intake", "sizing.drogue", "sizing.audit", "sizing.order", "sizing.words")

# Longest matching package decides what its modules may import, beside their own package.
ALLOWED: dict[str, tuple[str, ...]] = {
    "sizing.entry_key": (),
    "sizing.errors": (),
    "sizing.mail_address": (),
    "sizing.samples": (),
    "sizing.spoken": ("sizing.units",),
    "sizing.unit_words": (),
    "sizing.units": ("sizing.errors", "sizing.unit_words"),
    "sizing.field_kinds": BASE,
    "sizing.fields": ("sizing.field_kinds", *BASE),
    "sizing.model": NOUNS,
    "sizing.policy_rules": BASE,
    "sizing.policy_tables": ("sizing.policy_rules", *NOUNS),
    "sizing.policy": ("sizing.policy_rules", "sizing.policy_tables", *NOUNS),
    "sizing.policy_words": ("sizing.policy", *NOUNS),
    "sizing.policy_file": ("sizing.policy", "sizing.policy_words", *NOUNS),
    "sizing.writing": ("sizing.errors",),
    "sizing.raw_table": NOUNS,
    "sizing.delimited": ("sizing.raw_table", *NOUNS),
    "sizing.workbook_parts": ("sizing.raw_table", *NOUNS),
    "sizing.catalogue": ("sizing.delimited", "sizing.raw_table", *RULES),
    "sizing.intake": ("sizing.progress", *TABLES, *RULES),
    "sizing.on_disk": (),
    "sizing.progress": (),
    "sizing.words": NOUNS,
    "sizing.spreadsheet": (),
    "sizing.drogue": ("sizing.progress", *RULES),
    "sizing.audit": ("sizing.drogue", "sizing.progress", "sizing.redaction", "sizing.words", *RULES),
    "sizing.seamanship": ("sizing.drogue", *RULES),
    "sizing.order": (
        "sizing.audit",
        "sizing.drogue",
        "sizing.progress",
        "sizing.seamanship",
        "sizing.words",
        *TABLES,
        *RULES,
    ),
    "sizing.revision": ("sizing.spreadsheet", *STEPS, *RULES),
    "sizing.chase": ("sizing.revision", *TABLES, *STEPS, *RULES),
    "sizing.privacy": ("sizing.intake", *RULES),
    "sizing.redaction": NOUNS,
    "sizing.papers": ("sizing.chase", "sizing.redaction", "sizing.revision", *TABLES, *STEPS, *RULES),
    "sizing.waivers": ("sizing.intake", *RULES),
    "sizing.supplies": ("sizing.intake", *RULES),
    "sizing.story": ("sizing.supplies", "sizing.waivers", "sizing.progress", *STEPS, *RULES),
    "sizing.table_columns": (),
    "sizing.summary": ("sizing.audit", "sizing.order", "sizing.words", *NOUNS),
    "sizing.words_once": ("sizing.audit", *NOUNS),
    "sizing.frames": ("sizing.words_once", "sizing.table_columns", *STEPS, *RULES),
    "sizing.tables": ("sizing.frames", "sizing.spreadsheet", "sizing.table_columns", *STEPS, *RULES),
    "sizing.frame_cells": ("sizing.raw_table", "sizing.spreadsheet", *BASE),
    "sizing.face": (
        "sizing.story",
        "sizing.frames",
        "sizing.frame_cells",
        "sizing.table_columns",
        *STEPS,
        *RULES,
    ),
    "sizing": (),
    "fleet_demo": (),
    "sitegen": ("sizing",),
    "api": ("sitegen", "sizing", "fleet_demo"),
    # Command line and `api.http` -> season -> what judges, keeps and records. The names of acts are known
    # below, so that a job that fails is told in them.
    "api.season": ("api.jobs.queue", "api.signin", *BELOW_THE_SEASON, *MAKING, "sitegen", "sizing"),
    "api.season.acts": ("api.trail",),
    "api.jobs.queue": ("api.season.acts", "api.settings", "api.storage", "api.trail"),
    "api.judging": (*BELOW_THE_SEASON, "sitegen", "sizing"),
    "api.storage": (*BELOW_THE_SEASON, "sitegen", "sizing"),
    "api.trail": (*BELOW_THE_SEASON, "sizing"),
}
WEB = ("fastapi", "starlette", "sqlalchemy", "mkdocs")


def modules() -> list[Path]:
    return [p for name in OURS if name != "tests" for p in sorted((ROOT / name).rglob("*.py"))]


def dotted(path: Path) -> str:
    parts = path.relative_to(ROOT).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


@cache
def imports(path: Path) -> tuple[str, ...]:
    return tuple(imported(path))


def imported(path: Path) -> Iterator[str]:
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: write imports in full"
            assert node.module is not None
            yield node.module
            yield from (f"{node.module}.{alias.name}" for alias in node.names)


def within(name: str, package: str) -> bool:
    return name == package or name.startswith(package + ".")


def rule_for(name: str) -> str:
    return max((package for package in ALLOWED if within(name, package)), key=len)


def offences(path: Path) -> Iterator[str]:
    """What a file imports against its rule, and that it has none."""
    name = dotted(path)
    package = rule_for(name)
    if package == "sizing" != name:
        yield f"{name}: give this module a rule in {Path(__file__).name}"
    allowed = (package, *ALLOWED[package])
    for other in imports(path):
        ours = other.split(".")[0] in OURS
        if ours and not any(within(other, package) for package in allowed):
            yield f"{name} may not import {other}"


def test_imports_go_one_way() -> None:
    assert [offence for path in modules() for offence in offences(path)] == []


def test_the_engine_knows_no_web() -> None:
    engine = [path for path in modules() if within(dotted(path), "sizing")]
    assert [(dotted(p), name) for p in engine for name in imports(p) if name.split(".")[0] in WEB] == []


def test_csv_has_one_reader_and_one_writer() -> None:
    users = {dotted(path) for path in modules() if "csv" in imports(path)}
    assert users == {"sizing.delimited", "sizing.spreadsheet"}


@pytest.mark.parametrize(
    ("file", "line", "offence"),
    [
        ("sizing/drogue/lazy.py", "def f():\n    import sitegen.build", "may not import sitegen.build"),
        ("sizing/drogue/deep.py", "from sizing.audit import findings_of", "may not import sizing.audit"),
        ("sizing/unruled.py", "", "give this module a rule"),
        ("api/season/lists.py", "from api.http.context import Caller", "may not import api.http.context"),
        ("api/storage/late.py", "import api.season.fleets", "may not import api.season.fleets"),
    ],
)
def test_an_offence_is_found(
    file: str, line: str, offence: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / file
    path.parent.mkdir(parents=True)
    path.write_text(line, encoding="utf-8")
    monkeypatch.setitem(globals(), "ROOT", tmp_path)
    assert offence in next(offences(path))
