"""ngspice inside this process, through PySpice, made strict.

PySpice takes every line on the simulator's error stream for a failure, and some harmless notes come that way
(which matrix solver is in use; that stepping was needed for an operating point and succeeded). Here a line is
harmless only if it is known to be; any other is a failure that carries the simulator's own words.
"""

from __future__ import annotations

import logging
import re
from collections.abc import Iterator
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PySpice.Spice.NgSpice.Shared import NgSpiceShared, ffi, ffi_string_utf8

from psucheck.circuit.deck import Deck, check_deck, options_line
from psucheck.circuit.network import GROUND
from psucheck.engine.library import find_library
from psucheck.engine.waveforms import Samples, Waveforms

_HARMLESS = re.compile(
    r"^\s*$|^Note: |Using (SPARSE 1\.3|KLU) as Direct Linear Solver|can't find init file"
    r"|^Warning: .*(stepping|singular matrix)"
    r"|^(Doing|No\. of Data|Reducing|Trying|Starting|Supplies|Transient op)"
)


States = NDArray[np.float64]


class SimulationError(RuntimeError):
    """A run failed or gave a result that cannot be used; the message says which and why."""


class _StrictNgSpice(NgSpiceShared):  # type: ignore[misc]  # PySpice has no type information
    """PySpice's binding with our judgement of the simulator's output."""

    @staticmethod
    def _send_char(message_c: Any, ngspice_id: int, user_data: Any) -> int:
        self = ffi.from_handle(user_data)
        stream, _, content = ffi_string_utf8(message_c).partition(" ")
        if stream == "stderr":
            self._stderr.append(content)
            if not _HARMLESS.search(content):
                self._error_in_stderr = True
        else:
            self._stdout.append(content)
            # Nodes and elements are named by psucheck, none contains the word.
            if "error" in content.lower():
                self._error_in_stdout = True
        return 0


_LONGEST_COMMAND = 1000
"""Characters that ngspice takes in one command."""


def _joined(commands: list[str]) -> Iterator[str]:
    """Commands joined by semicolons into as few as the simulator takes."""
    line = ""
    for command in commands:
        if line and len(line) + len(command) >= _LONGEST_COMMAND:
            yield line
            line = ""
        line = f"{line};{command}" if line else command
    yield line


class Simulator:
    """One ngspice: loads a deck, sets its states, runs it. At most one lives in a process."""

    def __init__(self) -> None:
        logging.getLogger("PySpice").setLevel(logging.CRITICAL)
        NgSpiceShared.LIBRARY_PATH = find_library()
        self._spice = _StrictNgSpice.new_instance()
        self._deck: Deck | None = None

    def load(self, deck: Deck) -> None:
        """Make ``deck`` the circuit that runs.

        Raises
        ------
        SimulationError
            If the simulator does not accept it.
        """
        if deck is self._deck:
            return
        lines = [".title psucheck", *deck.lines, options_line(), ".end"]
        check_deck(lines)
        if self._deck is not None:
            self._command("destroy all")
            self._command("remcirc")
            self._deck = None
        self._guard(lambda: self._spice.load_circuit("\n".join(lines)), "reading the netlist")
        if self._spice._error_in_stderr or self._spice._error_in_stdout:
            # PySpice looks at the streams after a command only; ngspice drops such a circuit and goes on.
            raise SimulationError(f"reading the netlist: {self._words()}")
        self._deck = deck

    def run(self, states: States, *, seconds: float, max_step: float, sample_from: float = 0.0) -> Waveforms:
        """Run the loaded deck from ``states`` (SI, in the deck's order) for ``seconds``.

        Returns
        -------
        Waveforms
            All nodes and measured currents, times from ``sample_from`` on.

        Raises
        ------
        SimulationError
            If the run stops short, or a sample is not finite.
        """
        self._transient(states, seconds, max_step, sample_from)
        vectors = self._vectors()
        time = vectors.pop("time", np.empty(0))
        self._check_end(time, seconds)
        if not all(np.isfinite(vector).all() for vector in vectors.values()):
            raise SimulationError("the run gave values that are no numbers")
        return Waveforms(time, vectors)

    def end(self, states: States, *, seconds: float, max_step: float) -> States:
        """The states in which a run from ``states`` ends [SI]; nothing else of the run is looked at.

        Raises
        ------
        SimulationError
            If the run stops short, or a state is not finite.
        """
        deck = self._transient(states, seconds, max_step, 0.0)
        plot = self._spice.last_plot
        self._check_end(self._vector(plot, "time"), seconds)
        volts = {
            node: 0.0 if node == GROUND else float(self._vector(plot, node)[-1])
            for state in deck.states
            for node in (state.plus, state.minus)
        }
        ends = np.array([volts[state.plus] - volts[state.minus] for state in deck.states])
        if not np.isfinite(ends).all():
            raise SimulationError("the run ended in values that are no numbers")
        return ends

    def _transient(self, states: States, seconds: float, max_step: float, sample_from: float) -> Deck:
        assert self._deck is not None, "load a deck first"
        commands = ["destroy all"]
        commands += [
            f"alter @{state.capacitor}[ic]={float(value)!r}"
            for state, value in zip(self._deck.states, states, strict=True)
        ]
        commands.append(f"tran {max_step!r} {seconds!r} {sample_from!r} {max_step!r} uic")
        for joined in _joined(commands):
            self._command(joined)
        return self._deck

    def _check_end(self, time: Samples, seconds: float) -> None:
        if time.size < 2 or abs(time[-1] - seconds) > 1e-9 * seconds:
            reached = time[-1] if time.size else 0.0
            raise SimulationError(
                f"the run stopped at {reached:.6g} s of {seconds:.6g} s: {self._words() or 'no reason given'}"
            )

    def _vectors(self) -> dict[str, Samples]:
        plot = self._spice.plot(None, self._spice.last_plot)
        return {name.removesuffix("#branch"): vector._data for name, vector in plot.items()}

    def _vector(self, plot: str, name: str) -> Samples:
        """One vector of a plot; PySpice itself offers only all of them at once."""
        found = self._spice._ngspice_shared.ngGet_Vec_Info(f"{plot}.{name}".encode())
        if found == ffi.NULL or found.v_realdata == ffi.NULL:
            return np.empty(0)
        return np.frombuffer(ffi.buffer(found.v_realdata, found.v_length * 8), dtype=np.float64).copy()

    def _command(self, command: str) -> None:
        self._guard(lambda: self._spice.exec_command(command), command)

    def _guard(self, action: Any, doing: str) -> None:
        try:
            action()
        except NameError as error:
            # PySpice's exceptions derive from NameError and carry no text of the simulator's.
            raise SimulationError(f"{doing}: {self._words() or error}") from error

    def _words(self) -> str:
        text = [line.strip() for line in (*self._spice._stderr, *self._spice._stdout)]
        return "; ".join(line for line in text if line and not _HARMLESS.search(line))[:500]
