"""Finding ngspice's library, and what is said where it is missing."""

from __future__ import annotations

import ctypes.util
from pathlib import Path

import pytest

from psucheck.engine import library


def test_the_first_candidate_that_loads_is_taken(monkeypatch: pytest.MonkeyPatch) -> None:
    good = ctypes.util.find_library("c")
    assert good is not None
    monkeypatch.setattr(
        library, "_candidates", lambda: iter(["no-such-library.so", good, "never-reached.so"])
    )
    assert library.find_library() == good


def test_none_that_loads_names_the_command_that_mends_it_and_what_was_tried(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(library, "_candidates", lambda: iter(["no-such-library.so"]))
    with pytest.raises(library.LibraryNotFound) as caught:
        library.find_library()
    assert library.remedy() in str(caught.value)
    assert "no-such-library.so" in str(caught.value)
    assert library.VARIABLE in str(caught.value)


def test_the_variable_is_taken_alone(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """A file that was named and does not load is not replaced by another in silence."""
    named = tmp_path / "libngspice.so"
    named.write_text("no library")
    monkeypatch.setenv(library.VARIABLE, str(named))
    assert list(library._candidates()) == [str(named)]
    with pytest.raises(library.LibraryNotFound, match="libngspice"):
        library.find_library()


def test_the_loader_is_asked_before_other_places(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.delenv(library.VARIABLE, raising=False)
    (tmp_path / "libngspice.dylib").write_text("")
    monkeypatch.setattr(library, "_HOMEBREW", (str(tmp_path),))
    monkeypatch.setattr(library, "_WINDOWS", ())
    monkeypatch.setattr(library, "_wheel_libraries", lambda: iter(["wheel.so"]))
    monkeypatch.setattr(ctypes.util, "find_library", lambda _: "libngspice.so.0")
    assert list(library._candidates()) == ["libngspice.so.0", str(tmp_path / "libngspice.dylib"), "wheel.so"]
    monkeypatch.setattr(ctypes.util, "find_library", lambda _: None)
    assert list(library._candidates())[-1] == "wheel.so"


@pytest.mark.parametrize(("platform", "command"), [("darwin", "brew install"), ("win32", "pip install")])
def test_remedy_by_platform(platform: str, command: str) -> None:
    assert command in library.remedy(platform)


@pytest.mark.parametrize(
    ("manager", "command"), [("apt-get", "libngspice0"), ("dnf", "dnf install"), ("pacman", "pacman -S")]
)
def test_remedy_by_package_manager(
    manager: str, command: str, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    (tmp_path / manager).write_text("")
    monkeypatch.setenv("PATH", str(tmp_path))
    assert command in library.remedy("linux")


def test_remedy_without_a_package_manager(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))
    assert "-m pip install" in library.remedy("linux")
