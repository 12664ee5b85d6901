"""Time and memory of intake, sizing and audit of a large fleet, beside pandas' C reader on the same bytes.

`python -m tests.benchmarks.muster [rows]`. Nothing is ordered and no site is made. The wave strike is left
out: it has a benchmark of its own.
"""

from __future__ import annotations

import io
import resource
import statistics
import sys
import time
from datetime import date
from pathlib import Path
from tempfile import TemporaryDirectory

import pandas as pd

from sizing.intake import read_fleet
from sizing.story import judge, load_rules
from tests.benchmarks.intake import fleet_csv

REPEATS = 5
TODAY = date(2027, 3, 1)


def main(rows: int) -> None:
    """Print the times of each step and the ratio to pandas, medians of `REPEATS` runs."""
    data = fleet_csv(rows)
    rules = load_rules()
    times: dict[str, list[float]] = {"pandas": [], "intake": [], "sizing and audit": [], "whole": []}
    with TemporaryDirectory() as folder:
        path = Path(folder) / "fleet.csv"
        path.write_bytes(data)
        for _ in range(REPEATS):
            start = time.perf_counter()
            pd.read_csv(io.BytesIO(data), dtype=str, engine="c")
            read = time.perf_counter()
            intake = read_fleet(path, path.name, today=TODAY)
            taken = time.perf_counter()
            judged = judge(intake.fleet, rules, TODAY, None)
            done = time.perf_counter()
            times["pandas"].append(read - start)
            times["intake"].append(taken - read)
            times["sizing and audit"].append(done - taken)
            times["whole"].append(done - read)
    print(f"{rows:,} rows, {len(data) / 1e6:.0f} MB; accepted {len(intake.fleet):,}, "
          f"rejected {len(intake.rejected):,}; {len(judged.checks)} checks")  # fmt: skip
    base = statistics.median(times["pandas"])
    for name, measured in times.items():
        middle = statistics.median(measured)
        print(f"{name:18s} {middle:7.3f} s   {middle / base:5.2f} x pandas' C reader")
    peak_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"greatest memory of this process {peak_mb:,.0f} MB, the file itself and pandas' frame included")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 100_000)
