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
    """Run every step; returns the number of steps that failed.

    What a failed check other than pytest printed is printed once more at the end, where it is looked for.
    """
    failed: dict[str, str] = {}
    for name, command in STEPS.items():
        print(f"== {name}", flush=True)
        line = [sys.executable, "-m", *command]
        if name == "pytest":
            code, printed = subprocess.run([*line, *pytest_arguments], cwd=ROOT, check=False).returncode, ""
        else:
            done = subprocess.run(
                line, cwd=ROOT, check=False, text=True, stdout=subprocess.PIPE, stderr=subprocess.STDOUT
            )
            code, printed = done.returncode, done.stdout
            print(printed, end="", flush=True)
        if code:
            failed[name] = printed
    for name, printed in failed.items():
        if printed:
            print(f"== {name}, once more\n{printed}", end="", flush=True)
    print("all steps passed" if not failed else f"failed: {', '.join(failed)}", flush=True)
    return len(failed)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
