"""What is written in the trade's notation is read back as what it was."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from psucheck.parts import library
from psucheck.parts.series import mantissas
from psucheck.supply import notation, writing
from psucheck.supply.model import Capacitor, Choke, Fuse, Resistor

OHMS = st.sampled_from([m * 10.0**d for m in mantissas(24) for d in (-1, 0, 2, 3, 5, 6)]).map(
    lambda ohms: float(f"{ohms:.3g}")
)
WATTS = st.none() | st.sampled_from(library().preferred.resistors.watts.value)
VOLTS = st.none() | st.sampled_from([16.0, 63.0, 350.0, 450.0, 500.0])
FARADS = st.sampled_from(library().preferred.electrolytics.farads.value)
RESISTORS = st.builds(Resistor, value=OHMS, power=WATTS, voltage=VOLTS)
STRINGS = st.builds(
    Capacitor,
    value=FARADS,
    voltage=VOLTS,
    in_series=st.sampled_from([2, 3]),
    balancing=st.none() | RESISTORS,
)
CAPACITORS = st.builds(
    Capacitor,
    value=FARADS,
    voltage=VOLTS,
    esr=st.none() | st.sampled_from([0.0, 0.5, 1.25]),
    ripple_current=st.none() | st.sampled_from([0.3, 1.2]),
    surge_voltage=st.none() | st.just(550.0),
    life=st.none() | st.sampled_from([2000 * 3600.0, 5000 * 3600.0]),
    temperature=st.none() | st.just(105.0),
    tolerance=st.sampled_from([(-0.2, 0.2), (-0.1, 0.5)]),
)


@settings(max_examples=100)
@given(RESISTORS)
def test_a_resistor(part: Resistor) -> None:
    read = Resistor.model_validate(notation.resistor(writing.resistor(part)))
    assert read.value == pytest.approx(part.value, rel=1e-6)
    assert (read.power, read.voltage) == (part.power, part.voltage)


@settings(max_examples=100)
@given(CAPACITORS | STRINGS)
def test_a_capacitor(part: Capacitor) -> None:
    read = Capacitor.model_validate(notation.capacitor(writing.capacitor(part)))
    assert read.value == pytest.approx(part.value, rel=1e-6)
    assert read.balancing == part.balancing
    plain = {"value": 0.0, "balancing": None}
    assert read.model_copy(update=plain) == part.model_copy(update=plain)


@pytest.mark.parametrize(
    "text",
    ["T2AL250V", "F500mAH250V", "T315mA", "UL slow 2 A 250V", "UL fast 1.5 A", "T500mAH500V 400VDC"],
)
def test_a_fuse(text: str) -> None:
    part = Fuse.model_validate(notation.fuse(text))
    assert Fuse.model_validate(notation.fuse(writing.fuse(part))) == part


@pytest.mark.parametrize("text", ["choke 10 H 110 ohm 180 mA", "choke 4 H 100 ohm", "choke 60.6 ohm"])
def test_a_choke(text: str) -> None:
    part = Choke.model_validate(notation.choke(text))
    assert writing.choke(part) == text


def test_the_words_are_the_trades() -> None:
    assert writing.resistor(Resistor(value=220e3, power=1.0)) == "220k 1 W"
    assert writing.resistor(Resistor(value=2.2e6)) == "2.2 Mohm"
    assert writing.resistor(Resistor(value=470.0, power=0.5)) == "470 ohm 500 mW"
    string = Capacitor(value=100e-6, voltage=350.0, in_series=2, balancing=Resistor(value=220e3, power=1.0))
    assert writing.capacitor(string) == "2 x 100 uF 350 V in series with 220k 1 W each"
