"""The command line killed at any place of any act: no act is half done, and its outputs come right again."""

from __future__ import annotations

import random
import shutil
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final

import pytest
from sqlalchemy import select

from api.jobs.queue import claim
from api.jobs.tasks import Tasks
from api.season.engines import Engines
from api.season.open_season import open_season
from api.season.serving import begin_serving
from api.storage.schema import jobs
from tests.api.killed import Nursery
from tests.api.running import sheet
from tests.api.season_kept import fingerprint, lists_of, season_in
from tests.api.test_season import made, same, served
from tests.calling import DAY, call

KILLED: Final = -9
SHORT: Final = "item,length,quantity\nNDB-18,7.5 m,2\n"
PART: Final = "item,quantity,unit,extra\nTWINE-WHIP,30,m,yes\n"
POLICY: Final = '[rally]\nname = "Long Haul"\nofficer = "Safety office"\n'
PARTS: Final = ("site", "order", "tables", "messages", "summary.json")


@dataclass(frozen=True)
class Killing:
    """An act, the season that it is done to, and the places by name at which it is killed by default.

    A negative number counts from the last place of that name. `once` says that it is done once and for all.
    """

    base: str
    words: tuple[str, ...]
    at: tuple[tuple[str, int], ...]
    once: bool = False


ACTS: Final = {
    "first list": Killing("nothing", ("run", "first.csv", "--samples", "0", *DAY), (("write, done", -1),)),
    "next list": Killing(
        "one list", ("run", "next.csv", "--policy", "rally.toml", *DAY),
        (("commit", -1), ("replace", -3)),
    ),
    "same list": Killing("with a delivery", ("run", "first.csv", *DAY), (("write, done", -1),)),
    "part of a list": Killing(
        "one list", ("run", "next.csv", "--make", "order", *DAY), (("replace", -5),)
    ),
    "receive": Killing("one list", ("receive", "part.csv"), (("commit", -1), ("write, done", -1)), once=True),
    "stock": Killing("one list", ("stock", "shelf.csv"), (("write, done", -1),), once=True),
    "undo": Killing("two lists", ("undo", *DAY), (("write, done", -1), ("replace", -2)), once=True),
    "publish": Killing("with a delivery", ("publish", *DAY), (("write, done", -1), ("symlink_to", -1))),
}  # fmt: skip


def short(cells: dict[str, str]) -> None:
    """One boat with a short line, and so an order; nothing is sewn, which takes long."""
    if cells["Entry No"] == "001":
        cells["Lead line"] = "9 m"


def later(cells: dict[str, str]) -> None:
    """The list after it."""
    short(cells)
    if cells["Entry No"] == "002":
        cells["Berth"] = "C7"


@dataclass
class Yard:
    """Seasons to begin from, and the process that commands are forked from."""

    folder: Path
    nursery: Nursery
    told: dict[str, Reference] = field(default_factory=dict)

    def arguments(self, act: Killing, out: Path) -> list[str | Path]:
        """The command of an act upon a folder."""
        words = (self.folder / word if "." in word else word for word in act.words)
        return [*words, "--out", out]

    def copy(self, base: Path, name: str) -> Path:
        """A season of its own to be killed in."""
        there = self.folder / name
        shutil.rmtree(there, ignore_errors=True)
        if base.exists():
            shutil.copytree(base, there, symlinks=True)
        return there

    def begin(self) -> None:
        """Write what acts are given."""
        for name, content in (("part.csv", PART), ("shelf.csv", SHORT), ("rally.toml", POLICY)):
            (self.folder / name).write_text(content, encoding="utf-8")
        (self.folder / "first.csv").write_bytes(sheet(("001", "002"), short))
        (self.folder / "next.csv").write_bytes(sheet(("001", "002", "003"), later))

    def season(self, name: str) -> Path:
        """A season that an act begins from, made when it is first asked for."""
        there = self.folder / name
        if name == "nothing" or there.exists():
            return there
        if name == "one list":
            done("run", self.folder / "first.csv", "--samples", "0", "--out", there, *DAY)
            return there
        self.copy(self.season("one list"), name)
        if name == "two lists":
            done("run", self.folder / "next.csv", "--out", there, *DAY)
        else:
            done("receive", self.folder / "part.csv", "--out", there)
        return there


@pytest.fixture(scope="module")
def yard(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Yard]:
    """Made once for all kills."""
    folder = tmp_path_factory.mktemp("yard")
    there = Yard(folder, Nursery(folder))
    there.begin()
    yield there
    there.nursery.close()


@dataclass
class Reference:
    """An act that nobody killed: the season before and after it, what lies there, and what a server makes."""

    act: Killing
    yard: Yard
    base: Path
    places: list[str]
    before: Any
    after: Any
    old: dict[str, bytes]
    new: dict[str, bytes]
    old_served: dict[str, bytes]
    new_served: dict[str, bytes]

    def check(self, out: Path, *, by_hand: bool = True, by_server: bool = True) -> None:
        """No act is half done, the trail is whole, and what is made comes right, whoever goes on with it."""
        now = season_in(out)
        if self.act.base == "nothing" and now != self.after:
            assert now is None or now["revisions"] == []
        else:
            assert now in (self.before, self.after)
        self._parts(out)
        if now is not None:
            assert call("verify", "--out", out).returncode == 0
        happened = now == self.after
        if by_server and (happened or self.act.base != "nothing"):
            mended = self.yard.copy(out, "mended")
            same(serve(mended), self.new_served if happened else self.old_served)
        if not by_hand:
            return
        mended = self.yard.copy(out, "mended")
        if not (happened and self.act.once):
            done(*self.yard.arguments(self.act, mended))
            assert lists_of(season_in(mended)) == lists_of(self.after)
            same(made(mended), self.new)
        elif self.act.words[0] == "undo":
            done("publish", "--out", mended, *DAY)
            same(made(mended), self.new)
        assert not list(mended.glob(".being-made-*"))
        if (out / ".previous").exists():  # a part that is not made now is not lost with the kill
            mended, first = self.yard.copy(out, "mended"), self.yard.folder / "first.csv"
            done("run", first, "--make", "tables", "--withdraw", "--out", mended, *DAY)
            orders = ({name for name in whole if name.startswith("order/")} for whole in (self.old, self.new))
            assert any(made(mended).keys() >= order for order in orders)

    def _parts(self, out: Path) -> None:
        """Each part lies there as it was or as it is now, or is between two names."""
        lying = made(out) if (out / "summary.json").exists() else {}
        for part in PARTS:
            here = {name: body for name, body in lying.items() if name.split("/")[0] == part}
            either = [
                {name: body for name, body in whole.items() if name.split("/")[0] == part}
                for whole in (self.old, self.new)
            ]
            assert here in (*either, {}), part


def reference(yard: Yard, name: str) -> Reference:
    """Do an act to its end, and look at what came of it."""
    if name in yard.told:
        return yard.told[name]
    act = ACTS[name]
    base = yard.season(act.base)
    out = yard.copy(base, "reference")
    assert yard.nursery.call(yard.arguments(act, out)) in (0, 3), yard.nursery.said()
    places = yard.nursery.places()
    there = base.exists()
    yard.told[name] = Reference(
        act, yard, base, places, season_in(base), season_in(out), made(base) if there else {}, made(out),
        serve(yard.copy(base, "mended")) if there else {}, serve(yard.copy(out, "mended")),
    )  # fmt: skip
    return yard.told[name]


def nth(places: list[str], name: str, at: int) -> int:
    """The number of a place that is told by its name."""
    return [number for number, one in enumerate(places, start=1) if one == name][at]


def test_killed_in_the_midst_of_an_act(yard: Yard) -> None:
    """Before the transaction ends, once it has, and between the renames that put the outputs in place."""
    told = reference(yard, "next list")
    for place, at in told.act.at:
        out = yard.copy(told.base, "killed")
        kill_at = nth(told.places, place, at)
        assert yard.nursery.call(yard.arguments(told.act, out), kill_at) == KILLED, yard.nursery.said()
        told.check(out)


@pytest.mark.thorough
@pytest.mark.parametrize("name", ACTS)
def test_killed_at_any_place_of_an_act(yard: Yard, name: str) -> None:
    """The process stands still at each place, and a copy of its folder is what a kill leaves there."""
    told = reference(yard, name)
    out = yard.copy(told.base, "killed")
    seen = set()
    places = 0
    for _ in yard.nursery.stopping(yard.arguments(told.act, out)):
        places += 1
        left = yard.copy(out, "left")
        print_of = fingerprint(left)
        if print_of not in seen:
            seen.add(print_of)
            # Every other state is mended, by hand and by the server in turn: a drill mends them all.
            told.check(left, by_hand=len(seen) % 4 == 0, by_server=len(seen) % 4 == 2)
    assert places > len(seen) > 1
    assert season_in(out) == told.after, "what was acknowledged is there"


@pytest.mark.endurance
@pytest.mark.parametrize("lot", range(10))
def test_killed_ten_times_at_places_drawn_by_lot(yard: Yard, lot: int) -> None:
    """Of acts drawn by lot: a hundred kills in all."""
    drawn = random.Random(lot)  # noqa: S311  no secret
    for _ in range(10):
        one = reference(yard, drawn.choice(list(ACTS)))
        out = yard.copy(one.base, "killed")
        code = yard.nursery.call(yard.arguments(one.act, out), drawn.randint(1, len(one.places)))
        assert code in (KILLED, 0, 3)
        if code != KILLED:
            assert season_in(out) == one.after, "what was acknowledged is there"
        one.check(out)


def done(*arguments: str | Path) -> None:
    """Call a command that is done to its end."""
    called = call(*arguments)
    assert called.returncode in (0, 3), called.stderr


def serve(out: Path) -> dict[str, bytes]:
    """What lies in a folder once a server opened it and has done whatever there was to do."""
    config = served(out)
    with open_season(config) as store:
        begin_serving(store, config)
        tasks = Tasks(store, Engines(store, config), config)
        while (job := claim(store, 0.0)) is not None:
            tasks.run(job)
        with store.read() as connection:
            assert set(connection.execute(select(jobs.c.state)).scalars()) <= {"done"}
    return made(out)
