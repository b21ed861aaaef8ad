from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path

import pytest

from psucheck import __version__
from psucheck.cli.main import main
from psucheck.engine.library import VARIABLE, remedy
from psucheck.engine.simulator import SimulationError
from tests.cli.conftest import SUPPLY

Write = Callable[[str], Path]
COMMANDS = ["check", "netlist"]


def test_help_lists_the_commands(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["--help"]) == 0
    out, err = capsys.readouterr()
    for command in COMMANDS:
        assert command in out
    assert err == ""


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_explains_itself(command: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main([command, "--help"]) == 0
    out, err = capsys.readouterr()
    assert "TOML" in out
    assert err == ""


def test_the_version(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["--version"]) == 0
    assert capsys.readouterr().out.strip() == __version__


def test_no_command_is_help(capsys: pytest.CaptureFixture[str]) -> None:
    assert main([]) in (0, 2)
    out, err = capsys.readouterr()
    assert "check" in out + err


@pytest.mark.parametrize(
    "arguments",
    [
        ["chekc", "supply.toml"],
        ["check"],
        ["check", "supply.toml", "--jsno"],
        ["check", "one.toml", "two.toml"],
        ["netlist", "supply.toml", "--condition"],
    ],
)
def test_a_command_line_that_makes_no_sense_is_status_2(
    arguments: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(arguments) == 2
    out, err = capsys.readouterr()
    assert "Traceback" not in out + err
    assert err.strip(), "the message belongs on the error stream"
    assert out == ""


@pytest.fixture
def no_library(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(VARIABLE, "/nonexistent/libngspice.so")


@pytest.mark.usefixtures("no_library")
@pytest.mark.parametrize("command", COMMANDS)
def test_without_the_simulator_the_message_names_the_cure(
    command: str, write: Write, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main([command, str(write(SUPPLY))]) == 3
    out, err = capsys.readouterr()
    assert out == ""
    assert remedy() in err
    assert VARIABLE in err
    assert "/nonexistent/libngspice.so" in err
    assert "Traceback" not in err


@pytest.mark.usefixtures("no_library")
def test_a_bad_description_comes_before_a_missing_simulator(
    write: Write, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["check", str(write("nonsense"))]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert remedy() not in err


@pytest.mark.usefixtures("made_once")
def test_a_failed_simulation_is_one_message_and_status_3(
    write: Write, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def fails(*_: object, **__: object) -> None:
        raise SimulationError("no periodic steady state found after 200 cycles")

    monkeypatch.setattr("psucheck.studies.check.check", fails)
    assert main(["check", str(write(SUPPLY))]) == 3
    out, err = capsys.readouterr()
    assert out == ""
    assert err == "psucheck: no periodic steady state found after 200 cycles\n"


@pytest.mark.usefixtures("made_once")
def test_ctrl_c_is_one_line_and_status_3(
    write: Write, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def interrupted(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("psucheck.studies.check.check", interrupted)
    started = time.monotonic()
    assert main(["check", str(write(SUPPLY))]) == 3
    assert time.monotonic() - started < 3
    out, err = capsys.readouterr()
    assert out == ""
    assert err == "psucheck: stopped\n"
