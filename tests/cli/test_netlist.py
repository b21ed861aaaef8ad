from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from psucheck.cli.main import main
from tests.cli.conftest import SUPPLY

pytestmark = pytest.mark.usefixtures("made_once")
Write = Callable[[str], Path]


def test_it_prints_the_netlist_of_idle(write: Write, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["netlist", str(write(SUPPLY))]) == 0
    out, err = capsys.readouterr()
    assert out.startswith("* centre-tapped\n* idle, nominal mains\n")
    assert out.endswith(".end\n")
    assert err == ""


def test_it_writes_the_same_to_a_file(
    write: Write, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path, file = write(SUPPLY), tmp_path / "out.cir"
    assert main(["netlist", str(path), "--condition", "cold, high mains"]) == 0
    printed = capsys.readouterr().out
    assert main(["netlist", str(path), "--condition", "cold, high mains", "--output", str(file)]) == 0
    assert file.read_text("ascii") == printed
    assert capsys.readouterr() == ("", "")


def test_an_unknown_condition(write: Write, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["netlist", str(write(SUPPLY)), "--condition", "idle, hihg mains"]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert 'no condition "idle, hihg mains"' in err
    assert 'the nearest is "idle, high mains"' in err
    assert "Traceback" not in err


@pytest.mark.parametrize("place", ["none/out.cir", "."])
def test_a_place_that_cannot_be_written(
    place: str, write: Write, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path, target = write(SUPPLY), tmp_path / place
    before = sorted(tmp_path.rglob("*"))
    assert main(["netlist", str(path), "--output", str(target)]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert "cannot be written" in err
    assert str(target) in err
    assert "Traceback" not in err
    assert sorted(tmp_path.rglob("*")) == before


def test_a_full_disk_leaves_what_was_there(
    write: Write, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    path, target = write(SUPPLY), tmp_path / "out.cir"
    target.write_text("* the netlist of yesterday\n")
    real = Path.write_text

    def half(self: Path, data: str, *args: object, **keys: object) -> int:
        real(self, data[: len(data) // 2])
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "write_text", half)
    assert main(["netlist", str(path), "--output", str(target)]) == 2
    assert "No space left" in capsys.readouterr().err
    assert target.read_text() == "* the netlist of yesterday\n"
