"""Where a run's time goes: shares of its stages, cold and warm, beside its strike ensemble in the same run.

`python -m tests.benchmarks.muster [ROWS] [options of run, as --samples 0 --make tables]`. Without rows the
demo is run. Cold is a fresh copy of the program: nothing of its own compiled, packages as installed. Each run
is made twice: as users run it, for the whole, and with all work in one process, for the stages; of that,
processor time is told, which other work on the machine disturbs least.
"""

from __future__ import annotations

import functools
import importlib
import io
import json
import resource
import shutil
import subprocess
import sys
import time
from collections.abc import Callable, Sequence
from contextlib import redirect_stdout
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, Final, TypeVar

Found = TypeVar("Found")
ROOT: Final = Path(__file__).resolve().parents[2]
DEMO: Final = (
    "fleet_demo/fleet.csv", "--policy", "fleet_demo/rally.toml", "--prices", "fleet_demo/prices.csv"
)  # fmt: skip
STAGES: Final = {
    "intake": (("api.running", "read_fleet"),),
    "strike ensemble": (("sizing.drogue.strike_fleet", "run_ensembles"),),
    "sizing, strikes": (("sizing.story", "require"), ("sizing.story", "strike_aboard")),
    "audit": (("sizing.story", "audit_fleet"),),
    "plans": (("sizing.story", "plan_options"), ("sizing.story", "choose_plans")),
    "order": (("sizing.story", "build_order"),),
    "tables": (("api.paper_work", "write_tables"),),
    "workbook": (("sizing.order.files", "xlsx_bytes"),),
    "order's other tables": (("api.paper_work", "write_order"),),
    "papers": (
        ("api.paper_work", "write_loft"), ("api.paper_work", "write_cards"),
        ("api.paper_work", "write_papers"), ("api.paper_work", "pattern_files"),
    ),
    "chase, messages, changes": (
        ("api.season.publishing", "_write_for_people"), ("api.season.publishing", "compare"),
    ),
    "store": (
        ("api.running", "ready_answers"), ("api.running", "HandedIn.made_ready"),
        ("api.season.publishing", "Work.found"), ("api.season.publishing", "snapshot_bytes"),
        ("api.season.publishing", "packed"), ("api.storage.store", "Store.write"),
        ("api.running", "before_run"), ("api.running", "basis_now"), ("api.running", "open_season"),
    ),
    "site": (("api.season.publishing", "build_site"),),
}  # fmt: skip
"""Stage -> the functions that do it; time of one inside another counts for the inner alone."""
ENSEMBLE: Final = "strike ensemble"


def staged(arguments: Sequence[str]) -> None:
    """Run the program in this process alone, and print processor seconds by stage as JSON."""
    spent = {"imports": 0.0, "compile": 0.0, **dict.fromkeys(STAGES, 0.0)}
    under_way: list[float] = []

    def timed(stage: str, work: Callable[..., Any]) -> Callable[..., Any]:
        @functools.wraps(work)
        def wrapper(*args: Any, **named: Any) -> Any:
            start = time.process_time()
            under_way.append(0.0)
            try:
                return work(*args, **named)
            finally:
                taken = time.process_time() - start
                spent[stage] += taken - under_way.pop()
                if under_way:
                    under_way[-1] += taken

        return wrapper

    program: Any = importlib.import_module("api.command_line")
    for name in (
        "api.running",
        "api.season.publishing",
        *(["api.paper_work"] if "site" in made(arguments) else []),
    ):
        importlib.import_module(name)
    spent["imports"] = time.process_time()
    compiler: Any = importlib.import_module("numba.core.compiler")
    compiler.compile_extra = timed("compile", compiler.compile_extra)
    for stage, functions in STAGES.items():
        for module_name, name in functions:
            place: Any = sys.modules.get(module_name) or importlib.import_module(module_name)
            *inside, last = name.split(".")
            for part in inside:
                place = getattr(place, part)
            setattr(place, last, timed(stage, getattr(place, last)))
    sys.argv = ["drogue-muster", "run", *arguments]
    program.WORTH_A_PROCESS_BYTES = float("inf")  # all in this process
    code: object = None
    with redirect_stdout(io.StringIO()):
        try:
            program.main()
        except SystemExit as ended:
            code = ended.code
    assert code in {0, 3}, code
    spent["all else"] = time.process_time() - sum(spent.values())
    print(json.dumps(spent))


def made(arguments: Sequence[str]) -> str:
    """What --make names, or all."""
    return arguments[arguments.index("--make") + 1] if "--make" in arguments else "site"


def whole(folder: Path, arguments: Sequence[str]) -> tuple[float, float]:
    """Seconds of a run as users make it: by the clock, and of all processors."""
    before, start = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
    program = "from api.command_line import main; main()"
    done = subprocess.run(
        [sys.executable, "-c", program, "run", *arguments], cwd=folder, check=False, capture_output=True
    )
    assert done.returncode in (0, 3), done.stderr.decode()
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    used = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    return time.perf_counter() - start, used


def of_stages(folder: Path, arguments: Sequence[str]) -> dict[str, float]:
    """Processor seconds by stage of a run in one process."""
    line = [sys.executable, "-m", "tests.benchmarks.muster", "--staged", *arguments]
    done = subprocess.run(line, cwd=folder, check=False, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    spent: dict[str, float] = json.loads(done.stdout)
    return spent


def fresh_copy(folder: Path) -> Path:
    """The program as a fresh clone has it."""
    shutil.rmtree(folder, ignore_errors=True)
    for name in ("api", "fleet_demo", "sitegen", "sizing", "tests"):
        shutil.copytree(ROOT / name, folder / name, ignore=shutil.ignore_patterns("__pycache__"))
    return folder


def cold_and_warm(
    measure: Callable[[Path, Sequence[str]], Found], folder: Path, given: Sequence[str]
) -> list[Found]:
    """What is found of a run of a fresh copy, and of one after it."""
    fresh_copy(folder)
    found = []
    for _ in ("cold", "warm"):
        shutil.rmtree(folder.parent / "out", ignore_errors=True)
        found.append(measure(folder, given))
    return found


def main(arguments: Sequence[str]) -> None:
    """Print the whole and the stages, cold and warm."""
    with TemporaryDirectory() as name:
        folder = Path(name) / "clone"
        given = ["--out", f"{name}/out"]
        if arguments and arguments[0].isdigit():
            written = importlib.import_module("tests.benchmarks.intake").fleet_csv(int(arguments[0]))
            (Path(name) / "fleet.csv").write_bytes(written)
            given = [f"{name}/fleet.csv", "--prices", "fleet_demo/prices.csv", *given, *arguments[1:]]
        else:
            given = [*DEMO, *given, *arguments]
        cold, warm = cold_and_warm(whole, folder, given)
        stages = cold_and_warm(of_stages, folder, given)
    print(f"as users run it: cold {cold[0]:.1f} s by the clock, {cold[1]:.1f} s of processors; warm "
          f"{warm[0]:.1f} s and {warm[1]:.1f} s; cold against warm {cold[0] / warm[0]:.2f} by the clock, "
          f"{cold[1] / warm[1]:.2f} by processors")  # fmt: skip
    print(f"{'in one process, processor seconds':34}   cold         warm          warm over the ensemble")
    totals = [sum(spent.values()) for spent in stages]
    for stage in stages[0]:
        first, then = (spent[stage] for spent in stages)
        over = f"{then / stages[1][ENSEMBLE]:8.2f}" if stages[1][ENSEMBLE] else "       -"
        print(f"{stage:34}{first:7.2f} {first / totals[0]:5.0%}{then:7.2f} {then / totals[1]:5.0%}{over}")
    over = f"{totals[1] / stages[1][ENSEMBLE]:8.2f}" if stages[1][ENSEMBLE] else "       -"
    print(f"{'all':34}{totals[0]:7.2f}      {totals[1]:7.2f}      {over}")


if __name__ == "__main__":
    if sys.argv[1:2] == ["--staged"]:
        staged(sys.argv[2:])
    else:
        main(sys.argv[1:])
