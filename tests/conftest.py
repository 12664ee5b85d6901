"""What a run left out is said at its end."""

from __future__ import annotations

import pytest

from tests.markup.checker import HOW, WANTED


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    if not WANTED:
        terminalreporter.write_line(HOW, yellow=True)
