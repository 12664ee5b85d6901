"""A second process does what it is asked, says what went wrong, and is missed by nobody when it dies."""

from __future__ import annotations

import multiprocessing
import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from api.second_process import SecondProcess
from sizing.errors import OutputError
from tests.calling import ROOT

HERE = "tests.api.test_second_process"


def number_of_process(_: object) -> int:
    return os.getpid()


def refuse(where: str) -> None:
    raise OutputError(where, "it is full", "room", "make room")


def die_unless_in(process: int) -> int:
    """End the process outright, as a machine without memory does, unless it is the one named."""
    if os.getpid() != process:
        os.kill(os.getpid(), signal.SIGKILL)
    return os.getpid()


def test_work_is_done_in_one_other_process_in_turn() -> None:
    before = set(multiprocessing.active_children())  # those of servers that other tests share
    with SecondProcess() as second:
        ends = [second.hand(HERE, "number_of_process", i) for i in range(3)]
        (other,) = {end() for end in reversed(ends)}  # outcomes may be asked for in any order
    assert other != os.getpid()
    assert set(multiprocessing.active_children()) <= before


def test_where_it_is_not_wanted_all_work_is_done_here() -> None:
    with SecondProcess(wanted=False) as second:
        assert second.hand(HERE, "number_of_process", None)() == os.getpid()


def test_what_it_raises_is_raised_where_the_outcome_is_asked_for() -> None:
    with SecondProcess() as second:
        ends = [second.hand(HERE, "refuse", "disk"), second.hand(HERE, "number_of_process", None)]
        with pytest.raises(OutputError, match="disk: it is full") as caught:
            ends[0]()
        assert "Traceback" in caught.value.__notes__[0]
        assert ends[1]() != os.getpid()


def test_work_of_one_that_died_is_done_here() -> None:
    with SecondProcess() as second:
        ends = [second.hand(HERE, "die_unless_in", os.getpid()), second.hand(HERE, "number_of_process", None)]
        assert [end() for end in ends] == [os.getpid()] * 2


def test_it_ends_with_the_first_however_that_ends(tmp_path: Path) -> None:
    """Killed outright, the first process can tell nobody; the second must not go on writing."""
    program = (
        "import os, signal, time\n"
        "from api.second_process import SecondProcess\n"
        "second = SecondProcess()\n"
        f"print(second.hand({HERE!r}, 'number_of_process', None)(), flush=True)\n"
        "second.hand('time', 'sleep', 3600)\n"
        "os.kill(os.getpid(), signal.SIGKILL)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=False, cwd=tmp_path,
        env=os.environ | {"PYTHONPATH": str(ROOT)},
    )  # fmt: skip
    # The pipe is closed, and the call above returns, only when the second process has ended too.
    assert done.returncode == -signal.SIGKILL
    assert int(done.stdout) > 0
    assert "Traceback" not in done.stderr
