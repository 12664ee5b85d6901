"""The command line on odd terminals, full disks and when it is stopped: a sentence, and nothing half done."""

from __future__ import annotations

import os
import resource
import signal
import subprocess
from pathlib import Path

import pytest

from api.output_folder import PARTS, claimed, refusal, staged
from fleet_demo import fleet_csv
from sizing.errors import OutputError
from tests.calling import DAY, PROGRAM, ROOT, call, earlier_output


def one_boat(folder: Path, displacement: str = "8400 kg") -> Path:
    fleet = folder / "fleet.csv"
    fleet.write_text(
        "entry_no,boat_name,boat_type,loa,transom_width,displacement\n"
        f"1,Plover,sailing monohull,11.6 m,2.9 m,{displacement}\n",
        encoding="utf-8",
    )
    return fleet


def test_a_folder_that_cannot_be_written(tmp_path: Path) -> None:
    in_the_way = tmp_path / "file"
    in_the_way.write_text("x", encoding="utf-8")
    done = call("run", fleet_csv(), "--out", in_the_way / "out", "--samples", "0", *DAY)
    assert done.returncode == 2
    assert "output folder" in done.stderr


def test_a_disk_that_fills_up_leaves_the_previous_output(tmp_path: Path) -> None:
    """The limit on file size stands in for a full disk: the same error comes from the same writes."""
    out = earlier_output(tmp_path)
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    limited = subprocess.run(
        [*PROGRAM, "run", str(one_boat(tmp_path)), "--out", str(out), "--samples", "0", *DAY],
        capture_output=True, text=True, check=False,
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (20_000, hard)),
        env=os.environ | {"PYTHONDONTWRITEBYTECODE": "1"},  # else bytecode is kept that was cut at the limit
    )  # fmt: skip
    assert soft != 20_000
    assert limited.returncode == 2, limited.stdout + limited.stderr
    assert "Traceback" not in limited.stderr
    assert "to mend" in limited.stderr
    assert (out / "tables" / "sizing.csv").read_text(encoding="utf-8") == "before"
    assert not list(out.glob(".being-made-*"))


@pytest.mark.parametrize("encoding", ["ascii", pytest.param("cp1252", marks=pytest.mark.thorough)])
def test_any_terminal_can_show_the_messages(encoding: str, tmp_path: Path) -> None:
    fleet = one_boat(tmp_path, displacement="海 8½ t")
    done = subprocess.run(
        [*PROGRAM, "check", str(fleet), *DAY], capture_output=True, check=False,
        env=os.environ | {"PYTHONPATH": str(ROOT), "PYTHONIOENCODING": encoding},
    )  # fmt: skip
    shown = done.stdout.decode(encoding)
    assert done.returncode == 3, done.stderr
    assert "\\u6d77 8" in shown
    assert "does not begin with a number" in shown
    assert ("“" in shown) == (encoding == "cp1252")


@pytest.mark.parametrize(
    "closed", [1, pytest.param(0, marks=pytest.mark.thorough), pytest.param(2, marks=pytest.mark.thorough)]
)
def test_a_closed_stream_is_no_hindrance(closed: int) -> None:
    done = subprocess.run(
        [*PROGRAM, "check", str(fleet_csv()), *DAY], check=False, preexec_fn=lambda: os.close(closed),
        env=os.environ | {"PYTHONPATH": str(ROOT)},
    )  # fmt: skip
    assert done.returncode == 3


@pytest.mark.thorough
def test_an_output_that_cannot_be_printed_is_named() -> None:
    with Path("/dev/full").open("w") as full:
        done = subprocess.run(
            [*PROGRAM, "check", str(fleet_csv()), *DAY], check=False, stdout=full, stderr=subprocess.PIPE,
            text=True, env=os.environ | {"PYTHONPATH": str(ROOT), "PYTHONUNBUFFERED": "1"},
        )  # fmt: skip
    assert done.returncode == 2
    assert "No space left on device" in done.stderr


def test_ctrl_c_says_that_the_previous_output_is_untouched(tmp_path: Path) -> None:
    out = earlier_output(tmp_path)
    started = subprocess.Popen(
        [*PROGRAM, "run", str(fleet_csv()), "--out", str(out), *DAY], stdout=subprocess.PIPE,
        stderr=subprocess.PIPE, text=True,
        env=os.environ | {"PYTHONPATH": str(ROOT), "PYTHONUNBUFFERED": "1"},
    )  # fmt: skip
    assert started.stdout is not None
    assert started.stdout.readline().startswith("note:")
    started.send_signal(signal.SIGINT)
    _, said = started.communicate()
    assert started.returncode == 130
    assert "stopped; the previous output is untouched" in said
    assert (out / "tables" / "sizing.csv").read_text(encoding="utf-8") == "before"


def test_two_runs_do_not_write_into_one_folder(tmp_path: Path) -> None:
    out = earlier_output(tmp_path)
    with claimed(out):
        done = call("run", one_boat(tmp_path), "--out", out, "--samples", "0", *DAY)
    assert done.returncode == 2
    assert "another run is writing there" in done.stderr
    assert (out / "tables" / "sizing.csv").read_text(encoding="utf-8") == "before"


@pytest.mark.parametrize(
    ("met", "told"), [(KeyboardInterrupt(), KeyboardInterrupt), (OSError(28, "disk full"), OutputError)]
)
def test_a_stop_between_two_parts_is_undone(
    met: BaseException, told: type[BaseException], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    out = earlier_output(tmp_path)
    replace, calls = Path.replace, []

    def stopped_at_the_third(self: Path, target: Path) -> Path:
        calls.append(self)
        if len(calls) == 3:
            raise met
        return replace(self, target)

    def swap() -> None:
        with staged(out) as stage:
            for name in PARTS:
                (stage / name).mkdir()
            monkeypatch.setattr(Path, "replace", stopped_at_the_third)

    with pytest.raises(told):
        swap()
    assert (out / "tables" / "sizing.csv").read_text(encoding="utf-8") == "before"
    assert (out / "summary.json").read_text(encoding="utf-8") == "{}"
    assert not (out / "order").exists()


def test_a_day_that_is_none_is_refused_in_plain_words() -> None:
    done = call("check", fleet_csv(), "--today", "2026-31-31")
    assert done.returncode == 2
    assert "year-month-day" in done.stderr


def test_a_full_disk_is_named() -> None:
    problem = refusal(Path("out"), OSError(28, "No space left on device"))
    assert "disk is full" in str(problem)
