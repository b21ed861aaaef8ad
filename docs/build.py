"""Makes what the documentation takes from the tool itself, so that none of it is typed.

    python docs/build.py            writes docs/rules.md, the filled parts of every page, netlists/*.cir
    python docs/build.py --check    writes nothing; names what is out of date, exit status 1
    python docs/build.py accuracy   runs the tests that compare, and writes docs/accuracy.md, in a minute;
                                    with --check it writes nothing

A filled part stands between ``<!-- fill: WHAT -->`` and ``<!-- /fill -->``. WHAT is one of

    run psucheck ARGUMENTS                 what the command prints, at 80 columns and without colour
    run psucheck ARGUMENTS | part HEADING  the part of it under a heading, up to the next blank line
    file PATH                              a file of this project
    json PATH KEY KEY...                   what stands under these keys in the JSON document of a description
    table NAME                             a table of docs/tables.py
"""

from __future__ import annotations

import json
import os
import re
import shlex
import subprocess
import sys
import tempfile
from collections.abc import Callable
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(ROOT))  # as a script this file has only docs/ on its path

from docs import accuracy_page, tables  # noqa: E402 - after the path is set
from docs.comparing import alike  # noqa: E402

COLUMNS = 80
CONDITION = "idle, nominal mains"
"""The condition of the netlists beside the examples."""

_PART = re.compile(r"(?P<start><!-- fill: (?P<what>[^\n]+?) -->\n).*?(?P<end><!-- /fill -->)", re.DOTALL)


class BuildError(RuntimeError):
    """A part cannot be made; the message says which and why."""


# --- what a part is filled with ---------------------------------------------------------------------------


@cache
def run(arguments: tuple[str, ...]) -> str:
    """What ``python -m psucheck`` prints for ``arguments``, blanks at the ends of lines left out.

    Raises
    ------
    BuildError
        If it ends in another status than 0 or 1 (1: something is over a limit).
    """
    environment = {
        **os.environ,
        "COLUMNS": str(COLUMNS),
        "NO_COLOR": "1",
        "PYTHONPATH": str(ROOT),
        "PYTHONUTF8": "1",
        "XDG_CONFIG_HOME": os.devnull,  # no parts of whoever builds the pages
    }
    command = [sys.executable, "-m", "psucheck", *arguments]
    done = subprocess.run(
        command, cwd=ROOT, env=environment, capture_output=True, encoding="utf-8", check=False
    )
    if done.returncode not in (0, 1):
        raise BuildError(f"psucheck {shlex.join(arguments)} ended with {done.returncode}: {done.stderr}")
    return "\n".join(line.rstrip() for line in done.stdout.splitlines()).strip("\n")


def part_of(text: str, heading: str) -> str:
    """The lines of ``text`` from ``heading``, alone or over a table's first column, to the next blank one.

    Raises
    ------
    BuildError
        If no line is that heading.
    """
    lines = text.splitlines()
    starts = [n for n, line in enumerate(lines) if line == heading or line.startswith(f"{heading}  ")]
    if not starts:
        raise BuildError(f"the output has no part {heading!r}")
    rest = lines[starts[0] :]
    return "\n".join(rest[: rest.index("")] if "" in rest else rest)


def _run(what: str) -> str:
    command, _, heading = (piece.strip() for piece in what.partition("| part "))
    program, *arguments = shlex.split(command)
    if program != "psucheck":
        raise BuildError(f"only psucheck is run, not {program}")
    text = run(tuple(arguments))
    return _fenced("text", f"$ {command}\n" + (f"...\n{part_of(text, heading)}\n..." if heading else text))


def _file(what: str) -> str:
    path = ROOT / what
    return _fenced(path.suffix.removeprefix("."), path.read_text("utf-8").strip("\n"))


def _json(what: str) -> str:
    path, *keys = shlex.split(what)
    found = json.loads(run(("check", path, "--json")))
    for key in keys:
        found = found[int(key) if isinstance(found, list) else key]
    return _fenced("json", json.dumps(found, indent=2))


def _fenced(language: str, text: str) -> str:
    return f"```{language}\n{text}\n```\n"


_FILLERS: dict[str, Callable[[str], str]] = {
    "run": _run,
    "file": _file,
    "json": _json,
    "table": lambda what: f"\n{tables.TABLES[what]()}\n\n",
}


def filled(page: str) -> str:
    """``page`` with every part made anew.

    Raises
    ------
    BuildError
        If a part asks for what is not known, or cannot be made.
    """

    def fill(match: re.Match[str]) -> str:
        kind, _, what = match["what"].partition(" ")
        if kind not in _FILLERS:
            raise BuildError(f"no part is filled with {match['what']!r}")
        return f"{match['start']}{_FILLERS[kind](what)}{match['end']}"

    return _PART.sub(fill, page)


# --- the files --------------------------------------------------------------------------------------------


def pages() -> list[Path]:
    """The pages that may hold filled parts."""
    return [ROOT / "README.md", ROOT / "DEVELOPERS.md", *sorted((ROOT / "docs").rglob("*.md"))]


def made() -> dict[Path, str]:
    """Path -> what it should hold, for every file that is made here in whole or in part."""
    rules = ROOT / "docs" / "rules.md"
    files = {rules: tables.rules_page()}
    files |= {page: filled(page.read_text("utf-8")) for page in pages() if page != rules}
    for netlist, path in netlists().items():
        files[netlist] = run(("netlist", path, "--condition", CONDITION)) + "\n"
    return files


def netlists() -> dict[Path, str]:
    """Netlist of an example -> its description, as a path from the root."""
    examples = sorted((ROOT / "netlists").glob("*.toml"))
    return {example.with_suffix(".cir"): example.relative_to(ROOT).as_posix() for example in examples}


def stale() -> list[str]:
    """What is out of date: each file with the first line that differs by more than a figure's last digit."""
    found = []
    for path, wanted in made().items():
        held = path.read_text("utf-8") if path.exists() else ""
        difference = alike(held, wanted)
        if difference:
            found.append(f"{path.relative_to(ROOT).as_posix()}: {difference}")
    return found


def recorded() -> list[accuracy_page.Row]:
    """The rows of docs/accuracy.md, from a run of the tests that record them.

    Raises
    ------
    BuildError
        If a test fails.
    """
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "rows.json"
        workers = ("--numprocesses=auto", "--maxprocesses=4", "--dist=loadfile")
        tests = ("tests/published", "tests/reference")
        command = [sys.executable, "-m", "pytest", "-q", *workers, f"--accuracy={path}", *tests]
        done = subprocess.run(command, cwd=ROOT, capture_output=True, encoding="utf-8", check=False)
        if done.returncode:
            raise BuildError(f"the tests failed:\n{done.stdout}{done.stderr}")
        rows: list[accuracy_page.Row] = json.loads(path.read_text("utf-8"))
        return rows


def accuracy(*, check: bool) -> int:
    """Write or check docs/accuracy.md; a page that differs in last digits only is left as it is."""
    path = ROOT / "docs" / "accuracy.md"
    wanted = accuracy_page.page(recorded())
    difference = alike(path.read_text("utf-8") if path.exists() else "", wanted)
    if difference is None:
        print("up to date")
        return 0
    if not check:
        path.write_text(wanted, "utf-8", newline="\n")
    print(f"docs/accuracy.md: {difference}")
    return int(check)


def main(arguments: list[str]) -> int:
    """Write or check; returns the exit status."""
    if arguments[:1] == ["accuracy"] and arguments[1:] in ([], ["--check"]):
        return accuracy(check=bool(arguments[1:]))
    if arguments not in ([], ["--check"]):
        print("usage: python docs/build.py [accuracy] [--check]", file=sys.stderr)
        return 2
    if arguments:
        late = stale()
        print("\n".join(late) or "up to date")
        return 1 if late else 0
    for path, text in made().items():
        if not path.exists() or path.read_text("utf-8") != text:
            path.write_text(text, "utf-8", newline="\n")
            print(path.relative_to(ROOT).as_posix())
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
