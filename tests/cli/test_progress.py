"""Progress goes to a terminal's error stream, and nowhere else."""

from __future__ import annotations

import io

import pytest

from psucheck.cli.progress import telling


class Terminal(io.StringIO):
    """A stream that says that it is a terminal."""

    def isatty(self) -> bool:
        return True


def test_nothing_is_told_to_a_file(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("FORCE_COLOR", raising=False)
    stream = io.StringIO()
    monkeypatch.setattr("sys.stderr", stream)
    with telling("Looking") as told:
        told("[something]")
    assert stream.getvalue() == ""


def test_a_terminal_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TERM", "xterm")
    monkeypatch.setenv("COLUMNS", "60")
    stream = Terminal()
    monkeypatch.setattr("sys.stderr", stream)
    with telling("Looking") as told:
        told("first")
        told("[a second one] that is far too long for the width of this terminal")
    shown = stream.getvalue()
    assert "Looking" in shown
    assert max(map(len, shown.replace("\r", "\n").splitlines())) < 120
