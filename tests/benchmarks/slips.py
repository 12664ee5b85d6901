"""How many slips between kg and lb are found, and how many sound boats are asked.

Leave-one-out over the table of typical boats. A trial found about 95 % of slips at 10 % false alarms.
Run by `python -m tests.benchmarks.slips`.
"""

from __future__ import annotations

from sizing.fields import CHOICES
from tests.sizing.intake.leave_one_out import rates

KNOWN = (
    ("loa_m",), ("loa_m", "beam_m"), ("loa_m", "lwl_m"), ("loa_m", "lwl_m", "beam_m"),
)  # fmt: skip


def main() -> None:
    """Print the rates for all types together, and for each."""
    types = CHOICES["boat_type"]
    print(f"{'boats':24} {'known':24} {'n':>4} {'2.2 too light':>22} {'2.2 too heavy':>22}")
    for who in (types, *((one,) for one in types)):
        for measures in KNOWN:
            found = rates(who, measures)
            name = "all" if len(who) > 1 else who[0]
            known = ", ".join(one.removesuffix("_m") for one in measures)
            light = f"{found.light_found:.1%} at {found.light_false:.1%}"
            heavy = f"{found.heavy_found:.1%} at {found.heavy_false:.1%}"
            print(f"{name:24} {known:24} {found.boats:4} {light:>22} {heavy:>22}")


if __name__ == "__main__":
    main()
