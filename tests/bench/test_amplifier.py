"""Output valves in sockets of their own draw what the check's summed ones draw."""

from __future__ import annotations

import numpy as np
import pytest

from psucheck.bench.amplifier import Amplifier, amplifier, with_fuse_out
from psucheck.bench.observing import observe
from psucheck.bench.runs import Setting
from psucheck.bench.values import values
from psucheck.circuit.network import Law, Resistor
from psucheck.circuit.spice import write_deck
from psucheck.circuit.wiring import OPEN_OHMS
from psucheck.conditions.chains import start_states
from psucheck.engine.jobs import SteadyJob, run_chain
from tests.bench.benches import wound
from tests.tolerances import within


def _amp(name: str = "hundred watts") -> Amplifier:
    bench = wound(name, ("idle", 240.0))
    return amplifier(bench.filled, Setting("idle", 240.0).condition, bench.readings)


def test_sockets_together_read_what_the_check_reads() -> None:
    bench, amp = wound("hundred watts", ("idle", 240.0)), _amp()
    run = run_chain([SteadyJob(write_deck(amp.network), start_states(amp.network), loaded=True, fine=False)])[
        0
    ]
    wanted, found = bench.at("idle", 240.0), observe(amp, run)
    alike = [name for name in wanted if name in found]
    assert {
        "reservoir DC",
        "ht a",
        "output cathode 3 mV",
        "bias at output 4",
        "output transformer b drop",
    } <= {*alike}
    for name in alike:
        if not name.endswith(" AC"):
            # The anode current now meets the output transformer's copper before the pin.
            assert found[name] == within("transient-volts", wanted[name]), name
    assert values is not None


def test_valves_share_the_halves_in_turn() -> None:
    assert [socket.half for socket in _amp().sockets] == [0, 1, 0, 1]
    laws = [_amp().element(socket.anode_law or "") for socket in _amp().sockets]
    amps = [law.amps for law in laws if isinstance(law, Law)]
    assert np.ptp(amps) == pytest.approx(0.0)


def test_a_fuse_taken_out_is_open() -> None:
    amp = with_fuse_out(_amp(), "mains", 0)
    element = amp.element(amp.network.layout.places["mains"].elements[0])
    assert isinstance(element, Resistor)
    assert element.ohms == OPEN_OHMS
    assert amp.opened == (("mains", 0),)
