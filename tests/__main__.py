"""One command for all checks: `python -m tests`, perhaps with one of `CHOICES`, and with arguments of pytest.

Runs the linter, the format check, the strict type checker and the tests, says how each ended, and fails
if any failed. Everything is run even after a failure, so one run shows all there is to mend. The type checker
works beside the tests, which three workers share: servers and browsers wait, so that two cores are busy; a
fourth would read all of the program, and start servers and a browser, once more.
`-n 0` keeps the tests in one process, as a debugger needs it.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import IO

ROOT = Path(__file__).resolve().parent.parent

BEFORE: dict[str, list[str]] = {
    "ruff check": ["-m", "ruff", "check", "."],
    "ruff format": ["-m", "ruff", "format", "--check", "--quiet", "."],
    # Kept for all processes of the tests; else each of them would compile it anew.
    "compile": ["-c", "from sizing.drogue.strike.compiled import compile_all; compile_all()"],
}
# Tests of one file share what its fixtures made. Files are taken in order: those of the whole program, of
# servers and of browsers first, the short ones last, so that no worker is left with a long one.
WORKERS = ["-n", "3", "--dist", "loadfile", "--no-loadscope-reorder"]
ALL_EXAMPLES = ["--hypothesis-profile", "thorough"]
CHOICES: dict[str, list[str]] = {
    "--thorough": ["-m", "not endurance", *ALL_EXAMPLES],
    # What a plain run left: the marked tests, and the property tests with all their examples.
    "--thorough-rest": ["-m", "(thorough or hypothesis) and not endurance", *ALL_EXAMPLES],
    "--endurance": ["-m", "endurance"],
}
# Tests start the program some dozen times: without its bytecode kept, each would compile all of it anew.
ENVIRONMENT = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}


def main(arguments: list[str]) -> int:
    """Run every step; returns the number of steps that failed.

    What a failed check other than pytest printed is printed once more at the end, where it is looked for.
    """
    printed: dict[str, str] = {}
    failed: list[str] = []

    def ended(name: str, code: int, text: str = "") -> None:
        if code:
            failed.append(name)
            printed[name] = text

    given = pytest_arguments(arguments)
    with tempfile.TemporaryFile("w+", encoding="utf-8") as said:
        types = subprocess.Popen(
            _line("-m", "mypy"), cwd=ROOT, text=True, stdout=said, stderr=subprocess.STDOUT
        )
        try:
            for name, command in BEFORE.items():
                print(f"== {name}, with mypy beside it", flush=True)
                done = subprocess.run(
                    _line(*command), cwd=ROOT, env=ENVIRONMENT, check=False, text=True,
                    stdout=subprocess.PIPE, stderr=subprocess.STDOUT,
                )  # fmt: skip
                print(done.stdout, end="", flush=True)
                ended(name, done.returncode, done.stdout)
            print("== pytest, with mypy beside it", flush=True)
            tests = subprocess.run(_line("-m", "pytest", *given), cwd=ROOT, env=ENVIRONMENT, check=False)
            ended("pytest", tests.returncode)
            ended("mypy", types.wait(), _text(said))
        finally:
            types.kill()
    for name, text in printed.items():
        if text:
            print(f"== {name}: what it found\n{text}", end="", flush=True)
    print("all steps passed" if not failed else f"failed: {', '.join(failed)}", flush=True)
    return len(failed)


def pytest_arguments(arguments: list[str]) -> list[str]:
    """What pytest is given: its own arguments as they are, and after ours, so that they count."""
    chosen = [argument for argument in arguments if argument in CHOICES]
    if len(chosen) > 1:
        raise SystemExit(
            f"{' and '.join(chosen)} were given: expected one of them, or none. Leave out the others."
        )
    own = CHOICES[chosen[0]] if chosen else []
    return [*WORKERS, *own, *(argument for argument in arguments if argument not in CHOICES)]


def _line(*command: str) -> list[str]:
    return [sys.executable, *command]


def _text(said: IO[str]) -> str:
    said.seek(0)
    return said.read()


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
