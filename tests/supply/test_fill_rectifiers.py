import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from psucheck.parts import UnknownPart, library
from psucheck.supply.fill_rectifiers import BOLTZMANN_VOLTS, fill_device, heater_of, is_valve, silicon
from psucheck.supply.filled import FilledDevice
from psucheck.supply.model import Device


def _drop(device: FilledDevice, amps: float) -> float:
    return (
        device.emission * BOLTZMANN_VOLTS * math.log1p(amps / device.saturation_amps)
        + amps * device.series_ohms
    )


def _device(**keys: object) -> Device:
    return Device.model_validate(keys)


@given(st.floats(0.5, 3.0), st.floats(0.01, 30.0))
def test_the_diodes_law_meets_the_drop_point(volts: float, amps: float) -> None:
    saturation, emission, series = silicon(volts, amps)
    assert saturation > 0
    assert series > 0
    device = FilledDevice("silicon", saturation_amps=saturation, emission=emission, series_ohms=series)
    assert _drop(device, amps) == pytest.approx(volts, rel=1e-9)


@pytest.mark.parametrize("name", sorted(diode.name for diode in library().diodes))
def test_every_diode_of_the_library_meets_its_sheet(name: str) -> None:
    point = library().diode(name).drop.value
    device = fill_device(_device(type=name))
    assert device.kind == "silicon"
    assert _drop(device, point.amps) == pytest.approx(point.volts, rel=1e-9)
    # And drops less at a tenth of the current, but not nothing.
    assert 0.3 * point.volts < _drop(device, point.amps / 10) < point.volts


@pytest.mark.parametrize("name", sorted(valve.name for valve in library().rectifier_valves))
def test_every_valve_of_the_library_has_its_perveance(name: str) -> None:
    device = fill_device(_device(type=name))
    assert device.kind == "valve"
    assert device.perveance == library().rectifier_valve(name).perveance.value


def test_a_valve_written_out_meets_its_drop_point() -> None:
    device = fill_device(_device(kind="valve", drop="17 V at 225 mA"))
    assert device.perveance * 17.0**1.5 == pytest.approx(0.225)


def test_a_written_out_point_comes_before_the_types_own() -> None:
    device = fill_device(_device(type="GZ34", kind="valve", drop="20 V at 200 mA"))
    assert device.perveance * 20.0**1.5 == pytest.approx(0.200)


def test_devices_in_series_and_parallel_are_counted() -> None:
    device = fill_device(_device(type="1N4007", in_series=3, in_parallel=2))
    assert (device.in_series, device.in_parallel) == (3, 2)


def test_an_unknown_type_is_named() -> None:
    with pytest.raises(UnknownPart, match="GZ99"):
        fill_device(_device(type="GZ99"))


def test_what_is_a_valve() -> None:
    assert is_valve(_device(type="GZ34"))
    assert not is_valve(_device(type="1N4007"))
    assert is_valve(_device(kind="valve", drop="17 V at 225 mA"))


def test_heaters_of_rectifying_devices() -> None:
    assert heater_of(_device(type="GZ34")) == (5.0, 1.9)
    assert heater_of(_device(type="GZ34", in_parallel=2)) == (5.0, 3.8)
    assert heater_of(_device(type="1N4007")) is None
    assert heater_of(_device(kind="valve", drop="17 V at 225 mA")) is None
    assert heater_of(_device(kind="valve", drop="17 V at 225 mA", heater="6.3 V 1 A")) == (6.3, 1.0)
