"""Every cause can be put into every supply that it is listed for, and leaves a netlist that may be run."""

from __future__ import annotations

from functools import cache

import pytest

from psucheck.bench.amplifier import Amplifier, amplifier
from psucheck.bench.causes.catalogue import causes_of
from psucheck.bench.causes.cause import Cause
from psucheck.bench.observing import measure_ohms
from psucheck.bench.responses import sizes
from psucheck.bench.runs import Setting
from psucheck.circuit.condition import Readings, State
from psucheck.circuit.spice import write_deck
from psucheck.supply.filled import FilledSupply
from tests.bench.amplifiers import AMPLIFIERS
from tests.engine_runs import described

_READINGS = Readings(
    dict.fromkeys(("reservoir", "screens", "splitter", "preamp", "bias"), 300.0), {"output": 0.8}, {}
)


@cache
def _filled(name: str) -> FilledSupply:
    return described(AMPLIFIERS[name])


@cache
def _amp(name: str, state: State) -> Amplifier:
    filled = _filled(name)
    return amplifier(filled, Setting(state, filled.mains.nominal).condition, _READINGS)


def _cause(name: str, key: str) -> Cause:
    return next(cause for cause in causes_of(_filled(name)) if cause.key == key)


@pytest.mark.parametrize("name", AMPLIFIERS)
def test_no_two_causes_have_one_key_and_there_are_enough_kinds(name: str) -> None:
    causes = causes_of(_filled(name))
    assert len({cause.key for cause in causes}) == len(causes)
    assert len({cause.id for cause in causes}) >= 25


@pytest.mark.parametrize("name", AMPLIFIERS)
def test_every_cause_changes_the_amplifier_where_it_shows(name: str) -> None:
    for cause in causes_of(_filled(name)):
        changed = False
        for state in cause.states:
            before = _amp(name, state)
            for size in sizes(cause)[:1]:
                after = cause.put(before, size or 0.0)
                changed = changed or after != before
                write_deck(after.network)
        assert changed, cause.key


@pytest.mark.parametrize("name", AMPLIFIERS)
def test_a_cause_leaves_the_amplifier_as_it_was(name: str) -> None:
    amp = _amp(name, "idle")
    elements = list(amp.network.elements)
    for cause in causes_of(_filled(name)):
        cause.put(amp, cause.size.high if cause.size else 0.0)
    assert amp.network.elements == elements


def test_what_the_ohmmeter_shows_of_causes() -> None:
    cold = _amp("fixed-bias head", "valves out")
    sound = measure_ohms(cold)

    def ohms(key: str, point: str, size: float = 0.0) -> float:
        return measure_ohms(_cause("fixed-bias head", key).put(cold, size))[point]

    assert sound["ht a ohms"] == pytest.approx(33.0, rel=1e-3)
    assert sound["screens choke ohms"] == pytest.approx(110.0, rel=1e-3)
    assert ohms("half winding open: ht a", "ht a ohms") > 0.9e6
    assert ohms("choke open: screens", "screens choke ohms") > 1e6
    assert ohms("shorted capacitor: reservoir", "reservoir ohms", 3.0) == pytest.approx(3.0, rel=1e-2)
    # Seen from the screens' side, the choke and the standby switch stand before the short.
    assert ohms("shorted capacitor: reservoir", "screens ohms", 3.0) == pytest.approx(113.0, rel=1e-2)
    assert ohms("dropper drifted: splitter", "splitter dropper ohms", 1.8) == pytest.approx(18e3, rel=1e-2)
    assert ohms("rectifier arm shorted: ht arm a", "ht diode 1 backwards ohms") == pytest.approx(
        1.0, rel=0.01
    )
    assert ohms("rectifier arm open: ht arm a", "ht diode 1 forwards ohms") > 1e6
    assert ohms("fuse open: mains", "plug ohms") > 1e6


def test_the_half_of_the_heaters_that_is_held_to_chassis_reads_nothing() -> None:
    after = _cause("fixed-bias head", "heater middle open: heaters a").put(
        _amp("fixed-bias head", "idle"), 0.0
    )
    assert after.heater_halves == {"heaters": (1.0, 0.0)}
