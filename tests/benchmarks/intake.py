"""Time and memory of reading a large fleet file, beside pandas' C reader on the same bytes in one run.

`python -m tests.benchmarks.intake [rows]`; the file is made here: 30 columns, 15 of them quantities with
units in the cells, metric and US, with a share of rows that must be rejected.
"""

from __future__ import annotations

import csv
import datetime as dt
import io
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pandas as pd

from sizing.intake import read_fleet

Floats = npt.NDArray[np.float64]
LENGTH = (("m", 1.0, 2), ("ft", 0.3048, 1), ("m", 1.0, 3))
SMALL = (("mm", 0.001, 1), ("in", 0.0254, 3))
MASS = (("kg", 1.0, 0), ("lb", 0.45359237, 0), ("t", 1000.0, 2))
FORCE = (("kN", 1000.0, 2), ("lbf", 4.4482216152605, 0), ("daN", 10.0, 0))
AREA = (("m2", 1.0, 2), ("sq ft", 0.09290304, 1))
FAULTY = 0.01
REPEATS = 5


def written(
    values: Floats, units: Sequence[tuple[str, float, int]], rng: np.random.Generator, decimals: int
) -> list[str]:
    """Return SI values as people write them, each in one of several units, with extra `decimals`."""
    chosen = rng.integers(0, len(units), len(values))
    return [
        f"{value / units[pick][1]:,.{units[pick][2] + decimals}f} {units[pick][0]}"
        for value, pick in zip(values.tolist(), chosen.tolist(), strict=True)
    ]


def fleet_csv(rows: int, decimals: int = 0) -> bytes:
    """Return a fleet file of believable boats; with more decimals, hardly a quantity stands there twice."""
    rng = np.random.default_rng(20260601)

    def between(low: float, high: float) -> Floats:
        return rng.uniform(low, high, rows)

    loa = between(9.0, 18.0)
    lwl = loa * between(0.8, 0.95)
    beam = loa * between(0.26, 0.36)
    transom = beam * between(0.6, 0.9)
    displacement = between(110.0, 350.0) * (0.01 * lwl / 0.3048) ** 3 * 1016.0469088
    columns = {
        "entry_no": [str(number) for number in range(1, rows + 1)],
        "boat_name": [f"Plover {number}" for number in range(rows)],
        "skipper": [f"Skipper {number}" for number in range(rows)],
        "boat_type": rng.choice(["sailing monohull", "Monohull", "yacht"], rows).tolist(),
        "design": [f"Tern {number % 70}" for number in range(rows)],
        "berth": [f"B{number % 900}" for number in range(rows)],
        "loa": written(loa, LENGTH, rng, decimals),
        "lwl": written(lwl, LENGTH, rng, decimals),
        "beam": written(beam, LENGTH, rng, decimals),
        "transom_width": written(transom, LENGTH, rng, decimals),
        "displacement": written(displacement, MASS, rng, decimals),
        "windage_area": written(between(8.0, 40.0), AREA, rng, decimals),
        "cone_mouth": written(between(0.11, 0.15), SMALL, rng, decimals),
        "cone_pitch": written(between(0.45, 0.6), SMALL, rng, decimals),
        "lead_line_length": written(between(15.0, 40.0), LENGTH, rng, decimals),
        "lead_line_diameter": written(between(0.014, 0.026), SMALL, rng, decimals),
        "bridle_leg_length": written(transom * between(2.0, 3.0), LENGTH, rng, decimals),
        "bridle_diameter": written(between(0.014, 0.026), SMALL, rng, decimals),
        "end_weight": written(between(8.0, 25.0), (("kg", 1.0, 1), ("lb", 0.45359237, 1)), rng, decimals),
        "attachment_rating": written(between(20e3, 90e3), FORCE, rng, decimals),
        "shackle_rating": written(between(30e3, 120e3), FORCE, rng, decimals),
        "section_diameters": rng.choice(["20 mm; 16 mm", "18 mm; 14 mm; 12 mm", "16 mm"], rows).tolist(),
        "device_type": rng.choice(["series drogue", "none", ""], rows).tolist(),
        "cone_count": [str(90 + number % 60) for number in range(rows)],
        "line_material": ["nylon double braid"] * rows,
        "attachment_bolts": rng.choice(["4 x M12 A4-70", "6 x M10 8.8", ""], rows).tolist(),
        "made_year": [str(2008 + number % 18) for number in range(rows)],
        "last_inspected": [f"2026-04-{1 + number % 28:02d}" for number in range(rows)],
        "condition": rng.choice(["good", "fair", "new"], rows).tolist(),
        "notes": [f"remark {number}" for number in range(rows)],
    }
    for row in rng.choice(rows, int(FAULTY * rows), replace=False).tolist():
        columns["displacement"][row] = columns["displacement"][row].split()[0]
    text = io.StringIO(newline="")
    writer = csv.writer(text)
    writer.writerow(columns)
    writer.writerows(zip(*columns.values(), strict=True))
    return text.getvalue().encode()


@dataclass(frozen=True)
class Taken:
    """Median times of several runs in seconds: by the clock, and of all processors together."""

    clock: float
    processors: float


def taken(work: Callable[[], object]) -> Taken:
    """Return how long some work takes, after one run that does not count."""
    work()
    clocks, processors = [], []
    for _ in range(REPEATS):
        clock, processor = time.perf_counter(), time.process_time()
        work()
        clocks.append(time.perf_counter() - clock)
        processors.append(time.process_time() - processor)
    return Taken(statistics.median(clocks), statistics.median(processors))


def peak_memory_mb(path: Path) -> tuple[float, float]:
    """Return the peak memory of a fresh process before and after it reads the file."""
    program = (
        "import datetime, pathlib, sys; from sizing.intake import read_fleet; "
        "status = pathlib.Path('/proc/self/status'); "
        "peak = lambda: int(status.read_text().split('VmHWM:')[1].split()[0]) / 1024; before = peak(); "
        "read_fleet(pathlib.Path(sys.argv[1]), 'fleet.csv', today=datetime.date(2026, 6, 1)); "
        "print(before, peak())"
    )
    done = subprocess.run(
        [sys.executable, "-c", program, str(path)], check=True, capture_output=True, text=True
    )
    before, after = done.stdout.split()
    return float(before), float(after)


def main() -> None:
    """Print sizes, times, ratios and the peak of memory, for usual decimals and for far too many."""
    rows = int(sys.argv[1]) if len(sys.argv) > 1 else 100_000
    for decimals, words in ((0, "usual decimals"), (3, "three more decimals, so that hardly a cell repeats")):
        print(f"\n{words}")
        compare(fleet_csv(rows, decimals))


def compare(data: bytes) -> None:
    """Print the figures for one file."""
    today = dt.date(2026, 6, 1)
    result = read_fleet(data, "fleet.csv", today=today)
    print(f"{result.rows_in:,} rows, {len(result.header)} columns, {len(data) / 1e6:.1f} MB")
    print(f"accepted {len(result.fleet):,}, rejected {len(result.rejected):,}")
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "fleet.csv"
        path.write_bytes(data)
        before, after = peak_memory_mb(path)
    print(
        f"peak memory of a process that reads it {after:,.0f} MB, of which {before:,.0f} MB are the program"
    )
    ours = taken(lambda: read_fleet(data, "fleet.csv", today=today))
    print(f"{'':<28}   clock  processors (s)   intake takes (times, by clock and by processors)")
    print(f"{'intake, read and validated':<28} {ours.clock:7.3f} {ours.processors:7.3f}")
    readers: dict[str, Callable[[], object]] = {
        "pandas C, as it comes": lambda: pd.read_csv(io.BytesIO(data), engine="c"),
        "pandas C, one thread": lambda: _one_thread(data),
        "pandas C, text columns": lambda: pd.read_csv(io.BytesIO(data), engine="c", dtype=str),
        "pandas C, object columns": lambda: pd.read_csv(io.BytesIO(data), engine="c", dtype=object),
        "csv module": lambda: list(csv.reader(io.StringIO(data.decode(), newline=""))),
    }
    for name, reader in readers.items():
        other = taken(reader)
        ratios = f"{ours.clock / other.clock:13.2f} {ours.processors / other.processors:7.2f}"
        print(f"{name:<28} {other.clock:7.3f} {other.processors:7.3f} {ratios}")


def _one_thread(data: bytes) -> object:
    with pd.option_context("mode.max_threads", 1):
        return pd.read_csv(io.BytesIO(data), engine="c")


if __name__ == "__main__":
    main()
