"""The netlist that is written: plain ngspice runs it and finds the same; nobody's words become commands."""

from __future__ import annotations

import re
import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest

from psucheck.circuit.condition import Condition
from psucheck.circuit.export import plain
from psucheck.studies.netlist import UnknownCondition, netlist
from psucheck.supply.errors import DescriptionError
from psucheck.supply.fill import fill
from psucheck.supply.reader import parse_description
from tests.conditions.solved import solved
from tests.conditions.supplies import SUPPLIES, describe
from tests.engine_runs import figures_of
from tests.studies.in_process import NETLISTS, InProcess, example
from tests.tolerances import within

Batch = Callable[[str], dict[str, dict[str, float]]]

_MEASURED = re.compile(r"^(n\d+)_(mean|ripple|highest)\s*=\s*(\S+)", re.MULTILINE)
_NAMED = re.compile(r"^\* (n\d+) is (.+)$", re.MULTILINE)


@pytest.fixture
def batch(tmp_path: Path) -> Batch:
    """Runs a netlist by plain ngspice; gives node name -> figure -> value."""
    program = shutil.which("ngspice")
    if program is None:
        pytest.fail("the ngspice program is not here; .setup/test installs it")

    def run(text: str) -> dict[str, dict[str, float]]:
        (tmp_path / "supply.cir").write_text(text, "ascii")
        done = subprocess.run(
            [program, "-b", "supply.cir"], cwd=tmp_path, env={"HOME": str(tmp_path), "PATH": ""},
            capture_output=True, text=True, timeout=60, check=False,
        )  # fmt: skip
        assert done.returncode == 0, done.stdout + done.stderr
        assert "rror" not in done.stderr
        names = dict(_NAMED.findall(text))
        found: dict[str, dict[str, float]] = {}
        for node, what, value in _MEASURED.findall(done.stdout):
            found.setdefault(names[node], {})[what] = float(value)
        return found

    return run


def _written(name: str, condition: str) -> str:
    return netlist(parse_description(SUPPLIES[name], "test"), condition, InProcess())


@pytest.mark.parametrize(
    ("name", "condition"),
    [
        ("centre-tapped", "idle, wall mains"),
        ("centre-tapped", "valves out, high mains"),
        ("bridge with centre tap", "full output, low mains"),
        ("cascade doubler", "idle, nominal mains"),
        ("bias through a capacitor", "idle, nominal mains"),
        ("choke input", "idle, wall mains"),
    ],
)
def test_plain_ngspice_finds_the_same_steady_state(name: str, condition: str, batch: Batch) -> None:
    measured = batch(_written(name, condition))
    nodes = solved(name).figures[condition].nodes
    assert set(measured) == set(nodes)
    for node, figures in nodes.items():
        assert measured[node]["mean"] == within("same-solution", figures.dc)
        assert measured[node]["ripple"] == pytest.approx(figures.ripple_pp, rel=0.02, abs=0.05)
        assert measured[node]["highest"] == within("same-solution", figures.max)


@pytest.mark.parametrize(
    ("name", "condition"),
    [
        ("centre-tapped", "switch-on, high mains"),
        ("standby", "switch-on, valves cold, high mains"),
        ("standby", "standby closes, high mains"),
        ("standby", "sag, wall mains"),
    ],
)
def test_plain_ngspice_finds_the_same_course(name: str, condition: str, batch: Batch) -> None:
    measured = batch(_written(name, condition))
    for node, figures in solved(name).figures[condition].nodes.items():
        assert measured[node]["highest"] == within("transient-volts", figures.max)


def test_a_valve_rectifier_and_series_capacitors_too(batch: Batch) -> None:
    text = netlist(example("rebuilt-valve-supply"), "idle", InProcess())
    measured = batch(text)
    filled = fill(example("rebuilt-valve-supply").found)
    nodes = figures_of(filled, Condition("idle", "nominal", 230.0))[0].nodes
    for node, figures in nodes.items():
        assert measured[node]["mean"] == within("same-solution", figures.dc)
        assert measured[node]["ripple"] == pytest.approx(figures.ripple_pp, rel=0.02, abs=0.05)
    # The file beside the example is what the command writes.
    assert _names(text) == _names((NETLISTS / "rebuilt-valve-supply.cir").read_text("ascii"))


def _names(text: str) -> list[str]:
    """The first word of every line that is no comment."""
    return [line.split(" ", 1)[0] for line in text.splitlines() if not line.startswith("*")]


def test_every_line_is_told_what_it_is() -> None:
    lines = _written("bias through a capacitor", "idle").splitlines()
    elements = [k for k, line in enumerate(lines) if line[0] in "RCVBEFD"]
    assert len(elements) > 40
    for k in elements:
        assert re.match(r"\* \S.*", lines[k - 1]), lines[k]


@pytest.mark.parametrize(
    ("wanted", "is_run"),
    [
        ("idle", "idle, nominal mains"),
        ("  Idle,  HIGH mains ", "idle, high mains"),
        ("cold", "cold, nominal mains"),
        ("switch-on", "switch-on, high mains"),
        ("standby open", "standby open, wall mains"),
    ],
)
def test_a_condition_is_named_in_full_or_by_its_state(wanted: str, is_run: str) -> None:
    assert _written("standby", wanted).splitlines()[1] == f"* {is_run}"


@pytest.mark.parametrize(
    ("wanted", "nearest"),
    [("idel", 'the nearest is "idle"'), ("standby opne", '"standby open"'), ("switch-off, valves out", "")],
)
def test_an_unknown_condition_is_told_with_the_nearest(wanted: str, nearest: str) -> None:
    with pytest.raises(UnknownCondition) as raised:
        _written("standby", wanted)
    assert f'no condition "{wanted}"' in str(raised.value)
    assert nearest in str(raised.value)
    assert "full output, low mains" in str(raised.value)


HOSTILE = [
    "$`.control quit .endc",
    ".include secret.txt",
    "*# quit",
    "a; .end",
    "{1+1} 'x' \\\\ Ω |&<>~^",
]


@pytest.mark.parametrize("text", HOSTILE)
def test_the_users_words_are_cut_down_to_plain_ones(text: str) -> None:
    assert re.fullmatch(r"[A-Za-z0-9 .,:;()+%/=<>_-]*", plain(text))


def test_a_title_stays_a_comment(batch: Batch) -> None:
    text = netlist(parse_description(describe(" ".join(HOSTILE)), "test"), "idle", InProcess())
    usual = _written("centre-tapped", "idle")
    first, *rest = text.splitlines()
    assert rest == usual.splitlines()[1:]
    assert re.fullmatch(r"\* [A-Za-z0-9 .,:;()+%/=<>_-]*", first)
    assert ".control" in first
    measured = batch(text)
    assert measured["reservoir"]["mean"] > 300


@pytest.mark.parametrize("title", ["a\\n.control", "a\\r.end", "a\\u0000b", "a\\u2028b", "a\\u202eb"])
def test_a_title_of_more_than_a_line_is_refused(title: str) -> None:
    with pytest.raises(DescriptionError, match="title"):
        parse_description(describe(title), "test")
