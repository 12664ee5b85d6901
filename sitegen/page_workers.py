"""The bodies of many boats' pages, made in other processes while this one puts them into the shell.

A few boats are made here: starting processes costs more than it gains. Where processes cannot be started, or
one dies, the work is done here as well; nothing is lost but time.
"""

from __future__ import annotations

import multiprocessing
import os
from collections import deque
from collections.abc import Callable, Iterable
from concurrent.futures import Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from contextlib import AbstractContextManager
from dataclasses import dataclass
from datetime import date
from types import TracebackType
from typing import Final

from sitegen.boat_drawings import boat_drawings
from sitegen.boat_facts import BoatFacts
from sitegen.pages.boat import boat_page
from sitegen.pages.frame import Frame, Page, SearchEntry
from sitegen.rendering import render
from sitegen.shared_files import SharedFile
from sitegen.texts import load_texts
from sizing.catalogue import Catalogue
from sizing.policy import Policy

FEWEST_WORTH_PROCESSES: Final = 150
LOOK_EVERY_S: Final = 1.0
AHEAD_OF_EACH: Final = 3
"""Records handed to each process before its first page is taken, so that none waits and few are in memory."""


@dataclass(frozen=True)
class MadePage:
    """A page ready for its shell."""

    frame: Frame
    search: tuple[SearchEntry, ...]
    body: str


@dataclass(frozen=True)
class Rules:
    """What every boat's page depends on beside her facts."""

    policy: Policy
    catalogue: Catalogue
    today: date
    files: tuple[SharedFile, ...] = ()


def made(page: Page) -> MadePage:
    """Return a page with its body."""
    return MadePage(page.frame, page.search_entries(), render(page))


def boat_made(facts: BoatFacts, rules: Rules) -> MadePage:
    """Return a boat's page with its body."""
    drawings = boat_drawings(facts, rules.policy)
    page = boat_page(facts, drawings, rules.policy, rules.catalogue, load_texts(), rules.today, rules.files)
    return made(page)


_rules: list[Rules] = []


def _start(rules: Rules) -> None:
    _rules[:] = [rules]


def _made_there(facts: BoatFacts) -> MadePage:
    return boat_made(facts, _rules[0])


class PageWorkers(AbstractContextManager["PageWorkers"]):
    """Makes boats' pages in the order of `rows`; `take` gives them in that same order."""

    def __init__(self, rows: Iterable[int], gather: Callable[[int], BoatFacts], rules: Rules) -> None:
        self._waiting = deque(rows)
        self._gather = gather
        self._rules = rules
        self._under_way: deque[tuple[int, BoatFacts, Future[MadePage]]] = deque()
        processes = _processes(len(self._waiting))
        self._ahead = processes * AHEAD_OF_EACH
        self._pool: ProcessPoolExecutor | None = None
        if processes > 1:
            # Never by forking: this process may have threads, and a fork would copy their locks.
            spawn = multiprocessing.get_context("spawn")
            self._pool = ProcessPoolExecutor(processes, spawn, initializer=_start, initargs=(rules,))

    def take(self, row: int) -> MadePage:
        """Return the page of boat `row`, who is the next one of `rows`."""
        if self._pool is not None:
            try:
                return self._take_from(self._pool, row)
            except (BrokenProcessPool, OSError):
                self._abandon(self._pool)
        kept = [facts for other, facts, _ in self._under_way if other == row]
        self._under_way = deque(item for item in self._under_way if item[0] != row)
        if self._waiting and self._waiting[0] == row:
            self._waiting.popleft()
        return boat_made(kept[0] if kept else self._gather(row), self._rules)

    def _take_from(self, pool: ProcessPoolExecutor, row: int) -> MadePage:
        while self._waiting and len(self._under_way) < self._ahead:
            facts = self._gather(self._waiting[0])
            self._under_way.append((self._waiting[0], facts, pool.submit(_made_there, facts)))
            self._waiting.popleft()
        result = _outcome(pool, self._under_way[0][2])
        assert self._under_way[0][0] == row
        self._under_way.popleft()
        return result

    def _give_up(self) -> None:
        if self._pool is not None:
            self._pool.shutdown(wait=False, cancel_futures=True)
            self._pool = None

    def _abandon(self, pool: ProcessPoolExecutor) -> None:
        """Leave a broken pool, and end what is left of it.

        A process started just as the pool breaks is waited for by the pool's own thread, at the program's
        end too, but told by nobody to end.
        """
        left = list((pool._processes or {}).values())
        self._give_up()
        for process in left:
            process.kill()

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        """End the processes."""
        self._give_up()


def _outcome(pool: ProcessPoolExecutor, future: Future[MadePage]) -> MadePage:
    """What a process made; BrokenProcessPool too where the pool broke as this was handed in.

    Of such a one the pool tells nothing, so that waiting for it alone would have no end.
    """
    while True:
        done, _ = wait([future], timeout=LOOK_EVERY_S)
        if done:
            return future.result()
        if pool._broken:
            raise BrokenProcessPool(str(pool._broken))


def _processes(boats: int) -> int:
    if boats < FEWEST_WORTH_PROCESSES or multiprocessing.current_process().daemon:
        return 1
    available = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    return min(available, 8)
