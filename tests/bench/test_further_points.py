"""Every point that a file of readings may name has a value, and the other way round."""

from __future__ import annotations

import pytest

from psucheck.bench.amplifier import amplifier
from psucheck.bench.further_points import further_points
from psucheck.bench.observing import measure_ohms
from psucheck.bench.points import points
from psucheck.bench.runs import Setting
from psucheck.circuit.condition import Readings
from tests.bench.amplifiers import AMPLIFIERS
from tests.engine_runs import described


@pytest.mark.parametrize("name", AMPLIFIERS)
def test_what_an_ohmmeter_reads_goes_by_the_names_of_the_points(name: str) -> None:
    filled = described(AMPLIFIERS[name])
    amp = amplifier(filled, Setting("valves out", filled.mains.nominal).condition, Readings())
    known = {point.name for point in (*points(filled), *further_points(filled)) if point.cold}
    measured = set(measure_ohms(amp))
    assert measured == known & measured
    assert {each for each in known - measured if not each.endswith(" dropper ohms")} == set()


def test_the_hum_is_read_in_hertz_and_the_heaters_to_chassis() -> None:
    found = {point.name: point for point in further_points(described(AMPLIFIERS["fixed-bias head"]))}
    assert found["reservoir hum"].unit == "Hz"
    assert found["heaters end a to chassis"].black == "chassis"
    assert found["fuse centre tap ht ohms"].cold
