"""One command for all checks: `python -m tests [pytest arguments]`.

Runs the linter, the format check, the strict type checker and the tests, says how each ended, and fails
if any failed. Everything is run even after a failure, so one run shows all there is to mend.
"""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent

STEPS: dict[str, list[str]] = {
    "ruff check": ["ruff", "check", "."],
    "ruff format": ["ruff", "format", "--check", "--quiet", "."],
    "mypy": ["mypy"],
    "pytest": ["pytest"],
}


def main(pytest_arguments: list[str]) -> int:
    """Run every step; returns the number of steps that failed."""
    failed = []
    for name, command in STEPS.items():
        extra = pytest_arguments if name == "pytest" else []
        print(f"== {name}", flush=True)
        done = subprocess.run([sys.executable, "-m", *command, *extra], cwd=ROOT, check=False)
        if done.returncode:
            failed.append(name)
    print("all steps passed" if not failed else f"failed: {', '.join(failed)}", flush=True)
    return len(failed)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
