"""psucheck as a process of its own, with its workers."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import jsonschema
import pytest

from psucheck.report.document import schema
from tests.cli.conftest import SUPPLY
from tests.conditions.supplies import SUPPLIES

ROOT = Path(__file__).parents[2]
linux = pytest.mark.skipif(not Path("/proc/self/task").exists(), reason="looks at processes through /proc")


@pytest.fixture
def supply(tmp_path: Path) -> Path:
    path = tmp_path / "supply.toml"
    path.write_text(SUPPLY, "utf-8")
    return path


@pytest.fixture
def bare(tmp_path: Path) -> Path:
    """A supply that nothing draws from, and that is run in a second."""
    path = tmp_path / "bare.toml"
    lines = SUPPLY.split("[loads.output]")[0].splitlines()
    path.write_text("\n".join(line for line in lines if not line.startswith("valves")), "utf-8")
    return path


def _environment() -> dict[str, str]:
    kept = {name: value for name, value in os.environ.items() if name not in ("FORCE_COLOR", "NO_COLOR")}
    return {**kept, "PYTHONPATH": str(ROOT), "COLUMNS": "80"}


def _start(*arguments: str, **keys: object) -> subprocess.Popen[str]:
    return subprocess.Popen(  # type: ignore[call-overload,no-any-return]
        [sys.executable, "-m", "psucheck", *arguments],
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, env=_environment(),
        start_new_session=True, **keys,
    )  # fmt: skip


def _run(*arguments: str) -> tuple[int, str, str]:
    process = _start(*arguments)
    out, err = process.communicate(timeout=60)
    return process.returncode, out, err


def _members(group: int) -> Iterator[int]:
    """The processes of a group that still run."""
    for entry in Path("/proc").iterdir():
        if entry.name.isdigit():
            try:
                fields = (entry / "stat").read_text().rpartition(")")[2].split()
            except OSError:
                continue
            if int(fields[2]) == group and fields[0] != "Z":
                yield int(entry.name)


def _gone(group: int, within: float) -> bool:
    until = time.monotonic() + within
    while time.monotonic() < until:
        if not list(_members(group)):
            return True
        time.sleep(0.05)
    return False


@linux
def test_two_runs_give_the_same_bytes_and_leave_nothing_behind(supply: Path) -> None:
    first, second = _start("check", str(supply), "--json"), None
    out, err = first.communicate(timeout=60)
    assert first.returncode == 1
    assert err == ""
    jsonschema.validate(json.loads(out), schema())
    assert _gone(first.pid, 3.0)
    second = _run("check", str(supply), "--json")
    assert second == (1, out, "")


@pytest.mark.parametrize("options", [("--json",), ("--long",)])
def test_a_reader_that_goes_away_gets_no_traceback(bare: Path, options: tuple[str, ...]) -> None:
    process = _start("check", str(bare), *options)
    assert process.stdout is not None
    assert process.stderr is not None
    process.stdout.close()
    err = process.stderr.read()
    process.wait(timeout=60)
    process.stderr.close()
    assert err == ""
    assert process.returncode in (0, 1)


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="a full device is needed")
def test_a_full_disk_is_one_message(bare: Path) -> None:
    with Path("/dev/full").open("w") as full:
        done = subprocess.run(
            [sys.executable, "-m", "psucheck", "netlist", str(bare)],
            stdout=full, stderr=subprocess.PIPE, text=True, env=_environment(), timeout=60, check=False,
        )  # fmt: skip
    assert "Traceback" not in done.stderr
    assert "No space left" in done.stderr
    assert done.returncode == 2


@linux
@pytest.mark.parametrize("command", ["check", "netlist"])
def test_ctrl_c_ends_it_at_once_with_all_its_workers(command: str, tmp_path: Path) -> None:
    path = tmp_path / "supply.toml"
    path.write_text(SUPPLIES["choke input"], "utf-8")
    process = _start(command, str(path))
    # Workers are there, and at work.
    until = time.monotonic() + 20
    while len(list(_members(process.pid))) < 2 and time.monotonic() < until:
        time.sleep(0.02)
    time.sleep(0.3)
    assert process.poll() is None
    os.killpg(process.pid, signal.SIGINT)
    struck = time.monotonic()
    out, err = process.communicate(timeout=30)
    assert time.monotonic() - struck < 3
    assert (process.returncode, out, err) == (3, "", "psucheck: stopped\n")
    assert _gone(process.pid, 3.0)


def test_a_bad_description_says_so_without_waiting_for_the_workers(tmp_path: Path) -> None:
    path = tmp_path / "supply.toml"
    path.write_text(SUPPLY.replace("50 Hz", "50"), "utf-8")
    status, out, err = _run("check", str(path))
    assert (status, out) == (2, "")
    assert "needs a unit" in err
    assert "Traceback" not in err
    assert "Warning" not in err
