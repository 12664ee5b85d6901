"""A season of many weeks through both doors in turn, held against a model of the rules in plain Python."""

from __future__ import annotations

import csv
import datetime as dt
import io
import json
import tempfile
import zlib
from collections import Counter
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import Phase
from hypothesis import settings as profile
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule
from sqlalchemy import select, update

from api.jobs.queue import claim
from api.jobs.tasks import Tasks
from api.judging.identity import boat_id
from api.season.acting import Acting
from api.season.engines import Engines
from api.season.fleets import fleet_version
from api.season.inspections import FoundAboard, record_inspection, sign_off_inspection, withdraw_inspection
from api.season.lists import has_ready_answers
from api.season.open_season import open_season
from api.season.receiving import CSV, HandedIn, receive_to_read
from api.season.rules import number_in_force
from api.season.serving import begin_serving
from api.season.waivers import give_waiver
from api.storage.schema import entries, fleets, inspections, jobs, results, revisions, trail
from api.storage.store import Store
from api.trail import read_anchors, verify_trail
from api.trail.chain import Actor
from tests.api.running import DEMO, sheet
from tests.api.season_model import Aboard, Cells, Model
from tests.api.test_season import made, same, served
from tests.calling import DAY, call

BOATS = ("001", "002", "003", "004")
CONES = st.sampled_from(["130", "120", "90"])
MEASURED = st.sampled_from(["130", "97", "60"])
BOAT = st.sampled_from(BOATS)
OFFICER = Actor("An officer", "officer")
LATER = dt.date(2027, 6, 30)
IN_HAND = "in hand"


class Season(RuleBasedStateMachine):
    """The acts of a season, in any order."""

    def __init__(self) -> None:
        super().__init__()
        self.held = tempfile.TemporaryDirectory()
        self.folder = Path(self.held.name)
        self.out = self.folder / "out"
        self.model = Model()
        self.prices, self.policy = "prices.csv", ""
        self.ordered = ""  # of which need the order that lies there is

    @initialize()
    def first(self) -> None:
        """A season begins with a list."""
        dear = (DEMO / "prices.csv").read_bytes()
        (self.folder / "prices.csv").write_bytes(dear)
        (self.folder / "dear.csv").write_bytes(dear + b"\n")
        for name in ("Long Haul", "Short Hop"):
            (self.folder / f"{name}.toml").write_text(
                f'[rally]\nname = "{name}"\nofficer = "Safety office"\n', encoding="utf-8"
            )
        self.cells: Cells = {"001": ("130", "B1", "9 m"), "002": ("130", "B2", "24 m")}
        self.run("tables,order", "--prices", self.folder / "prices.csv", "--samples", "0")
        self.model.acts["fleet.made"] = 1

    def run(self, make: str, *more: str | Path) -> None:
        """A list at the command line."""
        content = sheet(tuple(sorted(self.cells)), self._change)
        (self.folder / "fleet.csv").write_bytes(content)
        given: list[str | Path] = ["--make", make, "--withdraw", *more, "--out", self.out, *DAY]
        done = call("run", self.folder / "fleet.csv", *given)
        assert done.returncode == 3, done.stderr
        model, rules = self.model, (self.prices, self.policy)
        if model.lists and model.now.cells == self.cells:
            model.judge_by(rules)
            model.in_force()
        else:
            model.take(self.cells, rules)
        model.acts["site.published"] += 1
        self._look_at_tables()
        if make != "tables":
            self._look_at_order()

    def _change(self, cells: dict[str, str]) -> None:
        cells["No. of cones"], cells["Berth"], cells["Lead line"] = self.cells[cells["Entry No"]]

    @rule(entry=BOAT, cones=CONES, berth=st.sampled_from(["B1", "C7"]), long=st.booleans())
    def change_a_boat(self, entry: str, cones: str, berth: str, long: bool) -> None:
        """A boat comes, or her row says something else."""
        self.cells[entry] = (cones, berth, "24 m" if long else "9 m")

    @precondition(lambda self: len(self.cells) > 2)
    @rule(at=st.integers(0, 3))
    def leave(self, at: int) -> None:
        """A boat withdraws from the list that comes next."""
        del self.cells[sorted(self.cells)[at % len(self.cells)]]

    @rule(make=st.sampled_from(["tables", "tables,order", "tables,order,site"]))
    def run_the_list(self, make: str) -> None:
        """The next list, or the same one again, at the command line."""
        self.run(make)

    @rule(dear=st.booleans(), name=st.sampled_from(["Long Haul", "Short Hop"]))
    def change_the_rules(self, dear: bool, name: str) -> None:
        """Other prices and another policy, with a list."""
        self.prices, self.policy = "dear.csv" if dear else "prices.csv", f"{name}.toml"
        given = "--prices", self.folder / self.prices, "--policy", self.folder / self.policy
        self.run("tables,order", *given)

    def at_server(self, work: Callable[[Acting, str], Any], *, sites: bool = False) -> None:
        """Do something at the server's door, with the jobs it asks for."""
        config = served(self.out)
        with open_season(config) as store:
            begin_serving(store, config)
            self._jobs(store, sites=False)
            at = Engines(store, config).in_force()
            with store.read() as connection:
                fleet = str(connection.execute(select(fleets.c.id)).scalar_one())
            work(Acting(OFFICER, store, at.engine, at.number, config, store.write), fleet)
            self._jobs(store, sites=sites)
            with store.read() as connection:
                answers = connection.execute(
                    select(entries.c.entry_no, results.c.findings).join(
                        results, results.c.boat_id == entries.c.boat_id
                    )
                ).all()
        found = {}
        for entry, packed in answers:
            told = [json.loads(line) for line in zlib.decompress(packed).split(b"\n")]
            (found[entry],) = [one["found"]["metric"] for one in told if one["check"] == "drag.cone-count"]
        assert found == {entry: self.model.cones(entry) for entry in self.model.now.cells}

    def _jobs(self, store: Store, *, sites: bool) -> None:
        """Do the jobs that wait; those that make the site are kept back where nobody looks at it."""
        tasks = Tasks(store, Engines(store, served(self.out)), served(self.out))
        waiting = jobs.c.state == "queued", jobs.c.kind == "site"
        due = {"due_at": 0.0} if sites else {"state": "kept back"}
        while True:
            store.write(lambda c: c.execute(update(jobs).where(*waiting).values(due)))
            job = claim(store, 0.0)
            if job is None:
                return
            with store.read() as connection:
                answered = has_ready_answers(connection, job.fleet_id)
                by = connection.execute(select(revisions.c.rules).where(revisions.c.number == job.revision))
                answered = answered and by.scalar() == number_in_force(connection)
            tasks.run(job)
            with store.read() as connection:
                ended = connection.execute(select(jobs).where(jobs.c.id == job.id)).one()
            assert ended.state == "done", ended.reason
            if job.kind == "site":
                self.model.acts["site.published"] += 1
            elif not self.uploading and not answered:  # answers are made: the list is in force once more
                self.model.in_force()
            self.uploading = False

    uploading = False

    @rule(look=st.booleans())
    def upload(self, look: bool) -> None:
        """A list handed in at the server, which may make its site."""

        def work(acting: Acting, fleet: str) -> None:
            handed = HandedIn("sent.csv", CSV, sheet(tuple(sorted(self.cells)), self._change), withdraw=True)
            acting.store.write(
                lambda c: receive_to_read(c, OFFICER, fleet, handed, f'"{fleet_version(c, fleet)}"')
            )
            self.uploading = True
            self.model.take(self.cells, self.model.rules)

        self.at_server(work, sites=look)
        if look:
            self._look_at_tables()
            self._look_at_order()

    def _boat(self, at: int) -> str:
        listed = sorted(self.model.now.cells)
        return listed[at % len(listed)]

    @rule(at=st.integers(0, 3), cones=MEASURED)
    def measure(self, at: int, cones: str) -> None:
        """A scrutineer counts the cones."""
        entry, model = self._boat(at), self.model

        def work(acting: Acting, fleet: str) -> None:
            record_inspection(acting, fleet, boat_id(entry), FoundAboard([("cone_count", cones)]))
            at = model.tick("inspection.recorded")
            model.aboard.append(Aboard(len(model.aboard) + 1, entry, cones, at))

        self.at_server(work)

    @rule(at=st.integers(0, 9))
    def sign(self, at: int) -> None:
        """What was measured is signed off."""
        found = self._standing("recorded", "reopened")
        if found:
            one = found[at % len(found)]

            def work(acting: Acting, fleet: str) -> None:
                sign_off_inspection(acting, fleet, boat_id(one.entry), one.number, "as it stands")
                one.signed_at = self.model.tick("inspection.signed-off")
                one.state, one.known = "signed off", self.model.now.cells[one.entry][0]

            self.at_server(work)

    @rule(at=st.integers(0, 9))
    def withdraw(self, at: int) -> None:
        """An inspection is taken back: what it took the place of counts again."""
        found = self._standing("recorded", "reopened", "signed off")
        if found:
            one = found[at % len(found)]

            def work(acting: Acting, fleet: str) -> None:
                withdraw_inspection(acting, fleet, boat_id(one.entry), one.number, "another boat")
                self.model.tick("inspection.withdrawn")
                one.state = "withdrawn"

            self.at_server(work)

    def _standing(self, *states: str) -> list[Aboard]:
        here = self.model.now.cells
        return [one for one in self.model.aboard if one.state in states and one.entry in here]

    @rule(at=st.integers(0, 3))
    def waive(self, at: int) -> None:
        """The officer sets one finding of a boat aside."""
        entry = self._boat(at)
        if entry not in self.model.waived:

            def work(acting: Acting, fleet: str) -> None:
                said = {"check": "line.lead-length", "reason": "accepted", "officer": "Safety office"}
                give_waiver(acting, fleet, boat_id(entry), until=LATER, **said)
                self.model.tick("waiver.given")
                self.model.waived.add(entry)

            self.at_server(work)

    @precondition(lambda self: self.ordered == self.model.need())
    @rule(at=st.integers(0, 30), many=st.integers(1, 9), cut=st.booleans())
    def receive(self, at: int, many: int, cut: bool) -> None:
        """A part of the order comes; some of it is cut."""
        rows = [row for row in self._rows("order/order.csv") if row["supplier"] != IN_HAND]
        if not rows:
            return
        items = sorted({row["item"] for row in rows})
        came = {items[(at + more) % len(items)] for more in range(many)}
        rows = [row for row in rows if row["item"] in came]
        path = self.folder / "delivery.csv"
        with path.open("w", newline="", encoding="utf-8") as stream:
            writer = csv.DictWriter(stream, [*rows[0], "cut"])
            writer.writeheader()
            for row in rows:
                is_rope = row["item"].startswith("NDB") and cut
                writer.writerow(row | {"cut": "1" if is_rope else ""})
        done = call("receive", path, "--out", self.out)
        assert done.returncode == 0, done.stderr
        self._stocked("delivery", "delivery.received")
        self.model.bought |= dict.fromkeys(came, self.ordered)

    @rule(length=st.sampled_from(["7.5 m", "30 m"]))
    def count_the_shelf(self, length: str) -> None:
        """A stocktake: loose lengths alone, so that offcuts it does not name are gone."""
        path = self.folder / "shelf.csv"
        path.write_text(f"item,length,quantity\nNDB-22,{length},1\n", encoding="utf-8")
        done = call("stock", path, "--out", self.out)
        assert done.returncode == 0, done.stderr
        self._stocked("stocktake", "stock.counted")
        self.model.bought = {item: of for item, of in self.model.bought.items() if item[:3] != "NDB"}

    def _stocked(self, kind: str, act: str) -> None:
        model = self.model
        model.stock.append((f"{kind} {len(model.stock) + 1}, ", model.tick(act)))
        self.ordered = ""

    @rule()
    def undo(self) -> None:
        """The last list is taken back, or it is said why not, and nothing changes."""
        model = self.model
        rests = model.rests()
        done = call("undo", "--out", self.out, *DAY)
        said = " ".join(done.stderr.split())
        if len(model.lists) == 1:
            assert "first of the season" in said
        elif rests:
            assert f"this was recorded since list {model.now.number} came" in said
            assert [one for one in rests if one not in said] == []
        else:
            assert done.returncode == 0, said
            model.undo()
            self.prices, self.policy = model.rules
            model.acts["site.published"] += 1
            self._look_at_tables()
            self._look_at_order()
            return
        assert done.returncode == 2

    @rule()
    def publish(self) -> None:
        """Everything is made anew, and is what the season gives."""
        done = call("publish", "--out", self.out, *DAY)
        assert done.returncode == 0, done.stderr
        self.model.acts["site.published"] += 1
        self._look_at_tables()
        self._look_at_order()
        assert "files are what the season gives" in call("verify", "--made", "--out", self.out).stdout

    def _rows(self, name: str) -> list[dict[str, str]]:
        text = (self.out / name).read_text(encoding="utf-8-sig")
        return list(csv.DictReader(io.StringIO(text, newline="")))

    def _look_at_tables(self) -> None:
        """The boats of the list, judged by what was measured before what is listed; waivers, and no more."""
        model, cells = self.model, self.model.now.cells
        assert [row["entry_no"] for row in self._rows("tables/sizing.csv")] == sorted(cells)
        found, waived = {}, set()
        for row in self._rows("tables/findings.csv"):
            if row["check"] == "drag.cone-count":
                found[row["entry_no"]] = row["found"]
            if row["standing"] == "waived":
                waived.add(row["entry_no"])
        assert found == {entry: model.cones(entry) for entry in cells}
        assert waived == {entry for entry in model.waived & cells.keys() if cells[entry][2] == "9 m"}

    def _look_at_order(self) -> None:
        """Nothing that came is bought again, as long as no more is needed than when it was ordered."""
        self.ordered = self.model.need()
        covered = {item for item, of in self.model.bought.items() if of == self.ordered}
        rows = self._rows("order/order.csv")
        assert {row["item"] for row in rows if row["supplier"] != IN_HAND} & covered == set()

    @invariant()
    def every_act_is_told_once(self) -> None:
        """The trail is whole, with a record for each act; the list in force is the one of the model."""
        config = served(self.out)
        with open_season(config) as store, store.read() as connection:
            assert verify_trail(connection, read_anchors(config.anchors)).problems == ()
            told = Counter(connection.execute(select(trail.c.action)).scalars())
            assert told == +self.model.acts
            in_force = select(revisions.c.number).where(revisions.c.state == "in force")
            assert connection.execute(in_force).scalars().all() == [self.model.now.number]
            assert connection.execute(select(fleets.c.revision)).scalar_one() == self.model.now.number
            states = dict(connection.execute(select(inspections.c.number, inspections.c.state)).all())
            assert states == {one.number: one.state for one in self.model.aboard}

    def teardown(self) -> None:
        """A season that was saved and restored makes the same, to the byte."""
        try:
            if self.model.lists:
                self.publish()
                saved, again = self.folder / "saved.zip", self.folder / "again"
                commands: tuple[tuple[str | Path, ...], ...] = (
                    ("backup", saved, "--out", self.out), ("restore", saved, "--out", again),
                    ("publish", "--out", again, *DAY),
                )  # fmt: skip
                for words in commands:
                    done = call(*words)
                    assert done.returncode == 0, done.stderr
                same(made(again), made(self.out))
        finally:
            self.held.cleanup()


TestSeason = pytest.mark.thorough(Season.TestCase)
TestSeason.settings = profile(
    max_examples=5, stateful_step_count=12, deadline=None,
    phases=(Phase.explicit, Phase.reuse, Phase.generate),  # a shorter season is not worth an hour of tries
)  # fmt: skip
