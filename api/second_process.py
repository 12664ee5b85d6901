"""A second process that writes tables and papers while this one makes the site.

It is started first of all, so that what it needs comes in while the fleet is read here. Where it cannot be
started, or dies, its work is done here when the outcome is asked for: nothing is lost but time.
"""

from __future__ import annotations

import importlib
import itertools
import multiprocessing
import os
import signal
import threading
import traceback
from collections.abc import Callable
from contextlib import AbstractContextManager
from multiprocessing.connection import Connection
from typing import Any


class SecondProcess(AbstractContextManager["SecondProcess"]):
    """Does work in another process, one piece after the other."""

    def __init__(self, *, wanted: bool = True) -> None:
        """Start it, if it is wanted; otherwise all work is done here."""
        self._process: multiprocessing.process.BaseProcess | None = None
        self._numbers = itertools.count()
        self._answers: dict[int, tuple[bool, Any]] = {}
        if not wanted:
            return
        # Never by forking: this process may have threads, and a fork would copy their locks.
        spawn = multiprocessing.get_context("spawn")
        self._here, there = spawn.Pipe()
        try:
            process = spawn.Process(target=_serve, args=(there,), daemon=True)
            process.start()
        except OSError:
            return
        finally:
            there.close()
        self._process = process

    @property
    def is_there(self) -> bool:
        """Whether there is a second process; without one, work waits until its outcome is asked for."""
        return self._process is not None

    def hand(self, module: str, work: str, *args: object) -> Callable[[], Any]:
        """Begin a function of a module, and return what waits for its outcome and raises what it raised.

        The function is named, not given, so that this process need not import what only the other one uses.
        """
        number = next(self._numbers)

        def outcome() -> Any:
            while self._process and number not in self._answers:
                if answer := self._exchange(self._here.recv):
                    self._answers[answer[0]] = answer[1:]
            if number not in self._answers:
                return _done(module, work, args)
            good, value = self._answers.pop(number)
            if not good:
                raise value
            return value

        if self._process:
            self._exchange(lambda: self._here.send((number, module, work, args)))
        return outcome

    def _exchange(self, step: Callable[[], Any]) -> Any:
        try:
            return step()
        except (EOFError, OSError):  # it died; whatever it was asked is done here
            self._end()
            return None

    def _end(self) -> None:
        if self._process:
            self._process.kill()
            self._process.join()
            self._here.close()
            self._process = None

    def __exit__(self, *_: object) -> None:
        """End the process, whatever it is doing."""
        self._end()


def _serve(asked: Connection) -> None:
    """What the second process does until nobody asks any more."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is for the first process, which ends this one
    threading.Thread(target=_end_with_the_first, daemon=True).start()
    while True:
        try:
            number, module, work, args = asked.recv()
        except EOFError:
            return
        try:
            answer = (number, True, _done(module, work, args))
        except Exception as problem:
            problem.add_note(traceback.format_exc())
            answer = (number, False, problem)
        asked.send(answer)


def _done(module: str, work: str, args: tuple[object, ...]) -> Any:
    return getattr(importlib.import_module(module), work)(*args)


def _end_with_the_first() -> None:
    first = multiprocessing.parent_process()
    assert first is not None
    first.join()
    os._exit(1)
