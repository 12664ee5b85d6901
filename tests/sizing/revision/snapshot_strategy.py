"""Records of small fleets that no run made, for properties of the comparison."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

from hypothesis import strategies as st

from sizing.revision.snapshot import (
    FORMAT,
    CheckSnapshot,
    ItemRecord,
    PlanRecord,
    Problem,
    RejectedSnapshot,
    Snapshot,
    Stamp,
)

ENTRIES = ("1", "02", "A7", "a8", "=1+1", "../x")
CHECKS = ("drag.cone-count", "line.ends", "data.berth")
figures = st.one_of(st.none(), st.sampled_from([0.0, 1.5, 22.86, 1e6]))
words = st.sampled_from(["", "Plover", "=1+1", "<b>x</b>", "海鳥\u202e", "two\nlines"])
digests = st.sampled_from(["", "a1", "b2", "c3", "d4"])
needed = st.sampled_from([Decimal(1), Decimal("2.5")])
days = st.sampled_from([date(2026, 11, 20), date(2026, 11, 27)])


@st.composite
def snapshots(draw: st.DrawFn, *, key_id: str = "77") -> Snapshot:
    """A snapshot with up to four boats."""
    boats = draw(st.lists(st.sampled_from(ENTRIES), unique=True, max_size=4))

    def column(values: st.SearchStrategy[Any]) -> tuple[Any, ...]:
        return tuple(draw(values) for _ in boats)

    checks = draw(st.lists(st.sampled_from(CHECKS), unique=True))
    items = draw(st.lists(st.sampled_from(["NDB-20", "THM-22", "CHN-10"]), unique=True))
    names = column(words)
    return Snapshot(
        format=FORMAT,
        format_version=1,
        stamp=Stamp(
            program_version=draw(st.sampled_from(["0.1.0", "0.2.0"])),
            today=draw(days),
            departure=draw(st.one_of(st.none(), st.just(date(2027, 5, 15)))),
            fleet_sha256="00",
            policy_sha256="00",
            catalogue_sha256=draw(st.sampled_from(["00", "11"])),
            prices_sha256="",
            struck=draw(st.booleans()),
            key_id=key_id,
        ),
        rules=draw(
            st.dictionaries(st.sampled_from(["sizing.wet_factor", "checks.line.ends", "rally.name"]), words)
        ),
        entry_nos=tuple(boats),
        names=names,
        row_digests=column(digests),
        written={
            "boat_name": names, "notes": column(words),
            "displacement": column(st.sampled_from(["1 t", "2 t"])),
        },
        numbers={"displacement_kg": column(figures), "last_inspected_day": column(figures)},
        words={"line_ends": column(st.sampled_from(["", "spliced", "knotted"]))},
        sealed={"email": column(digests), "Crew": column(digests)},
        not_computed=column(st.sampled_from(["", "out of range"])),
        needs={"cones": column(figures), "design_load_n": column(figures)},
        parts={"lead_rope": column(st.sampled_from(["", "NDB-20"]))},
        checks=tuple(
            CheckSnapshot(
                id=check,
                level=draw(st.sampled_from(["shall", "should"])),
                dimension="force",
                standing="".join(draw(st.sampled_from("012345")) for _ in boats),
                required=column(figures),
                found=column(figures),
            )
            for check in checks
        ),
        plans=tuple(
            PlanRecord(choice=choice, groups=(), cones_to_make=draw(st.integers(0, 9)))
            for choice in column(st.sampled_from(["nothing", "replace"]))
        ),
        rejected=tuple(
            RejectedSnapshot(
                entry_no=draw(st.sampled_from(["", "1", "A7", "99"])),
                boat_name=draw(words),
                row_no=number,
                row_digest=draw(digests),
                problems=(Problem(column="loa", code=draw(st.sampled_from(["blank", "no_unit"]))),),
            )
            for number in range(draw(st.integers(0, 3)))
        ),
        order=tuple(
            ItemRecord(item=item, description=item, unit="m", needed=draw(needed)) for item in sorted(items)
        ),
        ever_closed=tuple(sorted(draw(st.sets(st.sampled_from(["1/line.ends", "a7/drag.cone-count"]))))),
    )  # fmt: skip
