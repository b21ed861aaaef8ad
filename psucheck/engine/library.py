"""Finding the ngspice shared library on this machine, and saying how to get it where it is missing."""

from __future__ import annotations

import ctypes.util
import importlib.util
import os
import sys
from collections.abc import Iterator
from pathlib import Path

VARIABLE = "PSUCHECK_NGSPICE"
"""Environment variable that names the library's file, before any search."""

_HOMEBREW = ("/opt/homebrew/lib", "/usr/local/lib")
_WINDOWS = (r"C:\Program Files\ngspice\bin\ngspice.dll", r"C:\Spice64_dll\dll-vs\ngspice.dll")
_WHEEL = "sedes"
"""A Python package that carries the library for several systems."""


class LibraryNotFound(RuntimeError):
    """ngspice's shared library is not on this machine; the message names the command that mends it."""


def _candidates() -> Iterator[str]:
    named = os.environ.get(VARIABLE)
    if named:
        # What the user names is taken alone: falling back in silence would run another library than meant.
        yield named
        return
    found = ctypes.util.find_library("ngspice")
    if found:
        yield found
    for folder in _HOMEBREW:
        path = Path(folder, "libngspice.dylib")
        if path.exists():
            yield str(path)
    for name in _WINDOWS:
        if Path(name).exists():
            yield name
    yield from _wheel_libraries()


def _wheel_libraries() -> Iterator[str]:
    spec = importlib.util.find_spec(_WHEEL)
    for folder in (spec.submodule_search_locations or []) if spec else []:
        for path in sorted(Path(folder).rglob("*ngspice*")):
            if path.suffix in {".so", ".dylib", ".dll"} or ".so." in path.name:
                yield str(path)


def remedy(platform: str = sys.platform) -> str:
    """The one command that installs the library on ``platform``."""
    if platform == "darwin":
        return "brew install libngspice"
    if platform == "win32":
        return f"py -m pip install {_WHEEL}"
    for manager, command in (
        ("apt-get", "sudo apt-get install libngspice0"),
        ("dnf", "sudo dnf install libngspice"),
        ("pacman", "sudo pacman -S ngspice"),
        ("zypper", "sudo zypper install libngspice0"),
    ):
        if any(Path(folder, manager).exists() for folder in os.get_exec_path()):
            return command
    return f"{sys.executable} -m pip install {_WHEEL}"


def find_library() -> str:
    """Path or loader name of ngspice's shared library, the first that loads.

    Raises
    ------
    LibraryNotFound
        With the command that mends it on this machine, or what is wrong with the file that was named.
    """
    failures = []
    for candidate in _candidates():
        try:
            ctypes.CDLL(candidate)
        except OSError as error:
            failures.append(f"{candidate}: {error}")
        else:
            return candidate
    tried = f" Tried: {'; '.join(failures)}." if failures else ""
    raise LibraryNotFound(
        f"ngspice's shared library was not found. To install it here: {remedy()}\n"
        f"(or set {VARIABLE} to its file).{tried}"
    )
