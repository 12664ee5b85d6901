"""Many boats' pages are made in other processes, while this one puts them into the shell.

A few are made here: starting processes costs more than it gains. Where processes cannot be started, or one
dies, the work is done here as well; nothing is lost but time.
"""

from __future__ import annotations

import multiprocessing
import os
from collections import deque
from collections.abc import Callable, Collection, Generator
from concurrent.futures import Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass, replace
from datetime import date
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
"""Boats handed to each process before its first page is taken, so that none waits and few are in memory."""


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
    if facts.public:
        return made(page)
    return MadePage(replace(page.frame, listed=False), (), render(page))


_rules: list[Rules] = []


def _start(rules: Rules) -> None:
    _rules[:] = [rules]


def _boat_made_there(facts: BoatFacts) -> MadePage:
    return boat_made(facts, _rules[0])


def boats_made(
    rows: Collection[int], gather: Callable[[int], BoatFacts], rules: Rules
) -> Generator[MadePage, None, None]:
    """Yield the page of every boat of `rows`, in that order; close it to end its processes."""
    processes = _processes(len(rows))
    if processes == 1:
        yield from (boat_made(gather(row), rules) for row in rows)
        return
    # Never by forking: this process may have threads, and a fork would copy their locks.
    spawn = multiprocessing.get_context("spawn")
    pool = ProcessPoolExecutor(processes, spawn, initializer=_start, initargs=(rules,))
    under_way: deque[tuple[BoatFacts, Future[MadePage] | None]] = deque()
    try:
        for row in rows:
            facts = gather(row)
            under_way.append((facts, _handed_in(pool, facts)))
            if len(under_way) == processes * AHEAD_OF_EACH:
                yield _outcome(pool, rules, *under_way.popleft())
        while under_way:
            yield _outcome(pool, rules, *under_way.popleft())
    finally:
        left = list((pool._processes or {}).values()) if pool._broken else []
        pool.shutdown(wait=False, cancel_futures=True)
        # A process started just as the pool breaks is waited for by the pool's own thread, at the program's
        # end too, but nobody asks it to end.
        for process in left:
            process.kill()


def _handed_in(pool: ProcessPoolExecutor, facts: BoatFacts) -> Future[MadePage] | None:
    try:
        return pool.submit(_boat_made_there, facts)
    except (BrokenProcessPool, OSError):
        return None


def _outcome(
    pool: ProcessPoolExecutor, rules: Rules, facts: BoatFacts, future: Future[MadePage] | None
) -> MadePage:
    """What a process made of `facts`, or what is made here where the pool broke.

    The pool never answers for what was handed in as it broke: to wait for that alone would have no end.
    """
    while future is not None:
        if wait([future], timeout=LOOK_EVERY_S).done:
            try:
                return future.result()
            except (BrokenProcessPool, OSError):
                break
        if pool._broken:
            break
    return boat_made(facts, rules)


def _processes(boats: int) -> int:
    if boats < FEWEST_WORTH_PROCESSES or multiprocessing.current_process().daemon:
        return 1
    available = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    return min(available, 8)
