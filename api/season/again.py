"""Lists once more: the last one taken back, and what was made of any list made again, to be compared."""

from __future__ import annotations

import datetime as dt
import filecmp
import json
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from sqlalchemy import Connection, select

from api.output_folder import PARTS
from api.parts import ALL
from api.season.lists import (
    PROGRAM,
    FleetState,
    KeptList,
    kept_list,
    list_before,
    put_in_force,
    ready_answers,
    resting_on,
    state_of,
    take_back,
)
from api.season.publishing import make_all, publish
from api.season.rules import go_back_to, number_in_force, rules_of
from api.season.serving import ask_for_answers
from api.season.working import basis_now, basis_then, work_on
from api.second_process import SecondProcess
from api.settings import Settings
from api.storage.schema import published, revisions
from api.storage.store import Store
from api.trail.chain import Actor
from sizing.errors import InputError
from sizing.intake import read_fleet
from sizing.progress import Progress, silent

MOST_NAMED: Final = 20
_ALONE: Final = SecondProcess(wanted=False)


def in_force(state: FleetState) -> KeptList:
    """The list in force; InputError before there was one."""
    if state.in_force is None:
        raise InputError(
            f"fleet “{state.name}”", "no list is in force yet", "a season with a list",
            "run the entry list first: drogue-muster run FLEET --out DIR",
        )  # fmt: skip
    return state.in_force


def undo(
    store: Store, settings: Settings, state: FleetState, actor: Actor, progress: Progress = silent
) -> tuple[KeptList, KeptList]:
    """Take the list in force back; returns it, and the one before it, which is in force again.

    Raises InputError where there is none before it, or measurements, sign-offs or deliveries rest on it;
    MovedOn where something was recorded meanwhile.
    """
    last = in_force(state)
    with store.read() as connection:
        earlier = list_before(connection, state.fleet_id, last.number)
        if earlier is None:
            raise InputError(
                "undo", f"list {last.number} is the first of the season", "a list before it to go back to",
                "run the right list, or begin anew with another --out",
            )  # fmt: skip
        if resting := resting_on(connection, state):
            raise InputError(
                "undo", f"this was recorded since list {last.number} came: {'; '.join(resting)}",
                "a list that nothing rests on", "run the right list, which keeps all that was recorded",
            )  # fmt: skip
        rules = earlier.rules or 0
        kept_rules = rules_of(connection, rules)
        basis = basis_now(connection, state.fleet_id, kept_rules, kept_rules.load(), earlier.number)
    day = settings.day()
    intake = read_fleet(
        earlier.content, earlier.filename, today=day, profile=kept_rules.profile, progress=progress
    )
    run, work = work_on(intake, basis, day, progress=progress)
    answers = ready_answers(run)

    def back(connection: Connection) -> int:
        take_back(connection, actor, state, "taken back")
        go_back_to(connection, actor, rules)
        put_in_force(connection, actor, state, earlier.number, run, answers, rules=rules, day=day)
        ask_for_answers(connection, actor.name, but=state.fleet_id)  # other fleets are under these rules too
        return earlier.number

    publish(
        store, actor, state, work, settings.folder / state.folder, settings.anchors,
        day=day, second=_ALONE, take_in=back, progress=progress,
    )  # fmt: skip
    return last, earlier


def publish_now(
    store: Store, settings: Settings, state: FleetState, actor: Actor, progress: Progress = silent
) -> None:
    """Make everything of the list in force anew, with all that counts now, and put it in its place.

    MovedOn where another list or other rules came into force meanwhile.
    """
    day = settings.day()
    with store.read() as connection:
        state = state_of(connection, state.fleet_id)
        last = in_force(state)
        rules = rules_of(connection, state.rules)
        basis = basis_now(connection, state.fleet_id, rules, rules.load(), last.number)
    intake = read_fleet(last.content, last.filename, today=day, profile=rules.profile, progress=progress)
    _, work = work_on(intake, basis, day, progress=progress)
    publish(
        store, actor, state, work, settings.folder / state.folder, settings.anchors,
        day=day, second=_ALONE, progress=progress,
    )  # fmt: skip


def list_as_of(connection: Connection, fleet_id: str, asked: str) -> KeptList:
    """The list of a number, or the one in force at the end of a day; InputError where there is none."""
    in_season = revisions.c.fleet_id == fleet_id, revisions.c.in_force_at.is_not(None)
    rows = connection.execute(
        select(revisions.c.number, revisions.c.day, revisions.c.filename)
        .where(*in_season)
        .order_by(revisions.c.in_force_at)  # a list taken back gave way to one of a lower number
    ).all()
    if asked.isdecimal():
        meant = [row.number for row in rows if row.number == int(asked)]
    else:
        meant = [row.number for row in rows if _is_day(asked) and row.day <= asked]
    if not meant:
        there = "; ".join(f"{row.number} of {row.day}, {row.filename}" for row in sorted(rows)) or "none"
        raise InputError("--as-of", f"no list of this season is of “{asked}”",
                         f"a number or a day of one of its lists: {there}", "correct --as-of")  # fmt: skip
    return kept_list(connection, fleet_id, meant[-1])


def _is_day(text: str) -> bool:
    try:
        return dt.date.fromisoformat(text).isoformat() == text
    except ValueError:
        return False


def make_as_of(
    store: Store, state: FleetState, kept: KeptList, to: Path, progress: Progress = silent
) -> None:
    """Make everything of a list again as the season stood when it came into force; nothing is recorded."""
    with store.read() as connection:
        basis = basis_then(connection, state.fleet_id, kept)
        profile = rules_of(connection, kept.rules or 0).profile
    day = dt.date.fromisoformat(kept.day)
    intake = read_fleet(kept.content, kept.filename, today=day, profile=profile, progress=progress)
    _, work = work_on(intake, basis, day, progress=progress)
    make_all(work, to, second=_ALONE, progress=progress)


@dataclass(frozen=True)
class Compared:
    """What lies in an output folder, held against what the season gives.

    `differs` are files by their path there; `unknown` says why nothing could be compared, "" where it was.
    """

    files: int
    differs: tuple[str, ...]
    unknown: str = ""


def compare_made(
    store: Store, settings: Settings, state: FleetState, progress: Progress = silent
) -> Compared:
    """Make what was published last once more, beside it, and compare byte by byte."""
    with store.read() as connection:
        row = connection.execute(select(published).where(published.c.fleet_id == state.fleet_id)).first()
        if row is None:
            return Compared(0, (), "nothing was published yet; run `publish`")
        if row.version != state.version or state.in_force is None:
            return Compared(0, (), "more was recorded since it was made; run `publish`")
        if row.program != PROGRAM:
            made_by = f"it was made by version {row.program}, and this is {PROGRAM}"
            return Compared(0, (), f"{made_by}: run `publish` to make it with this one")
        rules = rules_of(connection, number_in_force(connection))
        basis = basis_now(connection, state.fleet_id, rules, rules.load(), state.in_force.number)
    day, make = dt.date.fromisoformat(row.day), frozenset(json.loads(row.made)) & ALL
    kept = state.in_force
    with tempfile.TemporaryDirectory(prefix="drogue-muster-") as folder:
        intake = read_fleet(kept.content, kept.filename, today=day, profile=rules.profile, progress=progress)
        _, work = work_on(intake, basis, day, make, progress=progress)
        make_all(work, Path(folder), second=_ALONE, progress=progress)
        here, there = settings.folder / state.folder, Path(folder)
        again = {path.relative_to(there).as_posix(): path for path in _made_files(there)}
        lying = {path.relative_to(here).as_posix(): path for path in _made_files(here)}
        parts = {name.split("/")[0] for name in again}
        lying = {name: path for name, path in lying.items() if name.split("/")[0] in parts}
        differs = [
            name
            for name in sorted({*again, *lying})
            if name not in again or name not in lying or not filecmp.cmp(again[name], lying[name], False)
        ]
    return Compared(len(again), tuple(differs))


def _made_files(folder: Path) -> Iterator[Path]:
    """Every file that was made below an output folder, the published site by its lasting name."""
    for name in ("site", *PARTS):
        part = folder / name
        if part.is_dir():
            yield from (path for path in part.rglob("*") if path.is_file())
        elif part.is_file():
            yield part
