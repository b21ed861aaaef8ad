"""Resistances between nodes, against closed forms."""

from __future__ import annotations

import pytest

from psucheck.bench.resistances import MOST_OHMS, Resistances
from psucheck.circuit.network import Capacitor, Choke, Diode, Network, Resistor, Section
from tests.tolerances import within


def _network(*elements: object) -> Resistances:
    return Resistances(Network("test", 50.0, list(elements)))  # type: ignore[arg-type]


def test_series_and_parallel() -> None:
    meter = _network(
        Resistor("r1", "a", "b", "", 100.0),
        Resistor("r2", "b", "0", "", 300.0),
        Resistor("r3", "a", "0", "", 400.0),
    )
    assert meter.between("a", "0") == within("closed-form", 200.0)
    assert meter.between("a", "b") == within("closed-form", 1 / (1 / 100 + 1 / 700))
    assert meter.between("a", "a") == 0.0


def test_capacitors_and_diodes_block_windings_and_chokes_pass() -> None:
    meter = _network(
        Section("s1", "a", "b", "", 1.5),
        Resistor("r1", "b", "c", "copper", 40.0),
        Choke("l1", "c", "d", "", 10.0),
        Resistor("r2", "d", "e", "copper", 110.0),
        Capacitor("c1", "e", "0", "", 50e-6, 400.0),
        Diode("d1", "e", "f", "", 1e-9, 1.8, 0.04),
    )
    assert meter.between("a", "e") == within("closed-form", 150.0)
    assert meter.between("e", "0") == MOST_OHMS
    assert meter.between("e", "f") == MOST_OHMS
    assert meter.forwards("e", "f") == pytest.approx(500.0, rel=1e-3)
    assert meter.forwards("f", "e") == MOST_OHMS


def test_a_floating_winding_is_read_to_the_ohm() -> None:
    meter = _network(
        Resistor("r1", "a", "b", "", 22.0),
        Resistor("r2", "a", "0", "", 1e9),
        Resistor("r3", "b", "0", "", 1e9),
    )
    assert meter.between("a", "b") == within("closed-form", 22.0)
