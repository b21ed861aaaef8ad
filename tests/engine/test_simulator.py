"""ngspice in this process: what its streams say, what it refuses, what a run must reach."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from PySpice.Spice.NgSpice.Shared import ffi

from psucheck.circuit.deck import Deck, DeckError
from psucheck.circuit.network import GROUND
from psucheck.circuit.spice import write_deck
from psucheck.engine.jobs import simulator
from psucheck.engine.simulator import SimulationError, _StrictNgSpice
from tests.engine_runs import Bench


def _deck() -> Deck:
    bench = Bench(50.0, 10.0)
    bench.winding("lead", GROUND, 10.0, 1.0)
    bench.diode("lead", "out")
    bench.capacitor("out", GROUND, 1e-6, 14.0)
    bench.resistor("out", GROUND, 1e6)
    return write_deck(bench.network)


def _heard(stream: str, text: str) -> SimpleNamespace:
    ear = SimpleNamespace(_stderr=[], _stdout=[], _error_in_stderr=False, _error_in_stdout=False)
    handle = ffi.new_handle(ear)
    assert _StrictNgSpice._send_char(ffi.new("char[]", f"{stream} {text}".encode()), 0, handle) == 0
    return ear


@pytest.mark.parametrize(
    "line",
    [
        "Using SPARSE 1.3 as Direct Linear Solver",
        "Note: Starting dynamic gmin stepping",
        "Warning: singular matrix:  check nodes n1 and n2",
        "Note: can't find init file",
        "",
    ],
)
def test_harmless_lines_pass(line: str) -> None:
    ear = _heard("stderr", line)
    assert not ear._error_in_stderr
    assert ear._stderr == [line]


@pytest.mark.parametrize(
    "line",
    ["Error: unknown subckt: x1", "doAnalyses: TRAN:  Timestep too small", "something never heard of before"],
)
def test_any_other_line_on_the_error_stream_is_a_failure(line: str) -> None:
    assert _heard("stderr", line)._error_in_stderr


def test_an_error_on_standard_output_is_a_failure() -> None:
    assert _heard("stdout", "Error on line 3")._error_in_stdout
    assert not _heard("stdout", "No. of Data Rows : 200")._error_in_stdout


def test_a_netlist_that_ngspice_rejects_says_so_in_its_own_words_and_the_next_one_runs() -> None:
    deck = _deck()
    broken = replace(deck, lines=(*deck.lines, "Dbad out 0 nomodel"))
    with pytest.raises(SimulationError, match="nomodel"):
        simulator().load(broken)
    simulator().load(deck)
    assert simulator().run(np.zeros(1), seconds=0.02, max_step=1e-4).time[-1] == pytest.approx(0.02)


@pytest.mark.parametrize(
    "line", [".control", "shell touch x", ".include x.cir", "*# quit", "Rr1 a 0 1\nshell ls"]
)
def test_a_line_that_psucheck_does_not_write_is_never_loaded(line: str) -> None:
    deck = _deck()
    with pytest.raises(DeckError, match="refused"):
        simulator().load(replace(deck, lines=(*deck.lines, line)))


def test_states_are_where_they_were_put() -> None:
    deck = _deck()
    simulator().load(deck)
    # Above the peak, where the diode blocks; the first sample comes a small step after the start.
    run = simulator().run(np.array([20.0]), seconds=1e-3, max_step=1e-5)
    assert run.time[0] < 1e-6
    assert run.between(deck.states[0].plus, deck.states[0].minus)[0] == pytest.approx(20.0, rel=1e-5)


def test_as_many_states_as_the_deck_has() -> None:
    simulator().load(_deck())
    with pytest.raises(ValueError, match="zip"):
        simulator().run(np.zeros(2), seconds=1e-3, max_step=1e-5)
