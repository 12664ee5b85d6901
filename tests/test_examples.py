"""The examples in docstrings do what they say."""

from __future__ import annotations

import doctest
from importlib import import_module

import pytest

from tests.calling import ROOT

MODULES = sorted(
    ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__")
    for part in ("api", "fleet_demo", "sitegen", "sizing")
    for path in (ROOT / part).rglob("*.py")
    if ">>> " in path.read_text(encoding="utf-8")
)


@pytest.mark.parametrize("module", MODULES)
def test_examples_in_docstrings(module: str) -> None:
    done = doctest.testmod(import_module(module))
    assert done.attempted
    assert not done.failed
