"""Rectifier valves and diodes."""

import pytest

from psucheck.parts import library
from psucheck.parts.rectifiers import Drop, RectifierValve
from psucheck.parts.sourced import Sourced

# K [mA/V^1.5] as a table of perveances prints it, to three figures.
PERVEANCE = [
    ("GZ34", 3.21), ("5U4G", 0.771), ("5U4GB", 0.778), ("5Y3GT", 0.269), ("5V4G", 1.40), ("GZ32", 1.66),
    ("GZ37", 0.763), ("5Z4", 1.40), ("GZ30", 1.564), ("5R4GY", 0.456), ("EZ80", 0.730), ("EZ81", 1.677),
    ("EZ90", 0.678), ("6X5GT", 0.678),
]  # fmt: skip


@pytest.mark.parametrize(("name", "milliamps"), PERVEANCE)
def test_perveance(name: str, milliamps: float) -> None:
    assert library().rectifier_valve(name).perveance.value == pytest.approx(milliamps * 1e-3, rel=2e-3)


def test_perveance_is_tested_for_every_valve() -> None:
    assert {name for name, _ in PERVEANCE} == {valve.name for valve in library().rectifier_valves}


def test_the_law_passes_through_the_drop_point() -> None:
    for valve in library().rectifier_valves:
        if valve.drop is not None:
            point = valve.drop.value
            assert valve.perveance.value * point.volts**1.5 == pytest.approx(point.amps, rel=1e-12)
            assert valve.perveance.status == "derived"
            assert valve.perveance.confidence == valve.drop.confidence


def test_a_perveance_without_a_drop_point_keeps_its_own_source() -> None:
    perveance = library().rectifier_valve("EZ80").perveance
    assert perveance.status == "second-hand"
    assert perveance.source.startswith("Perveance attributed to Philips")


def test_the_other_published_drop_of_the_5y3gt_is_kept() -> None:
    drop = library().rectifier_valve("5Y3GT").drop
    assert drop is not None
    assert [point.volts for point in drop.published] == [60.0, 50.0]
    assert drop.note is not None


def test_values_that_other_files_have_wrong_by_a_factor_are_not_held() -> None:
    rejected = {"5U4G": 2.72e-3, "GZ37": 3.1e-3, "EZ80": 1.65e-3, "EZ81": 3.7e-3}
    for name, wrong in rejected.items():
        valve = library().rectifier_valve(name)
        held = [] if valve.published_perveance is None else list(valve.published_perveance.published)
        held.append(valve.perveance.value)
        assert not [one for one in held if one == pytest.approx(wrong, rel=0.05)]


@pytest.mark.parametrize(
    ("name", "volts", "ohms", "outside"),
    [
        ("GZ34", 350.0, 75.0, None),
        ("GZ34", 375.0, 87.5, None),
        ("GZ34", 300.0, 50.0, None),
        ("GZ34", 550.0, 175.0, None),
        ("GZ34", 200.0, 50.0, "below"),
        ("GZ34", 600.0, 175.0, "above"),
        ("EZ81", 250.0, 150.0, None),
        ("EZ81", 400.0, 275.0, None),
        ("5U4GB", 450.0, 67.0, None),
        ("5V4G", 375.0, 100.0, None),
        ("5V4G", 400.0, 100.0, "above"),
        ("5R4GY", 700.0, 250.0, None),
    ],
)
def test_minimum_source_resistance(name: str, volts: float, ohms: float, outside: str | None) -> None:
    reading = library().rectifier_valve(name).minimum_source_resistance(volts)
    assert reading is not None
    assert reading.value == pytest.approx(ohms)
    assert reading.outside == outside


def test_no_source_resistance_is_guessed_for_the_gz32() -> None:
    assert library().rectifier_valve("GZ32").minimum_source_resistance(350.0) is None


def test_mean_current_falls_with_voltage() -> None:
    valve = library().rectifier_valve("5U4GB")
    assert valve.mean_current_limit(450.0).value == pytest.approx(0.275)
    assert valve.mean_current_limit(500.0).value == pytest.approx(0.275 - 0.5 * (0.275 - 0.162))
    assert valve.mean_current_limit(600.0) == (0.162, "above")
    assert library().rectifier_valve("GZ34").mean_current_limit(350.0) == (0.250, None)


def test_directly_heated_valves_are_told_from_the_others() -> None:
    direct = {valve.name for valve in library().rectifier_valves if valve.cathode.value == "direct"}
    assert direct == {"5U4G", "5U4GB", "5Y3GT", "5R4GY"}


def test_five_volt_indirectly_heated_valves_need_their_own_winding() -> None:
    for valve in library().rectifier_valves:
        tied = valve.cathode_on_heater is not None and valve.cathode_on_heater.value
        assert tied == (valve.cathode.value == "indirect" and valve.heater.value.volts == 5.0)
        assert tied or valve.cathode.value == "direct" or valve.heater_cathode_voltage is not None


def test_warm_up_is_held_only_where_it_was_read() -> None:
    held = {valve.name for valve in library().rectifier_valves if valve.warm_up is not None}
    assert held == {"5U4G"}


def test_where_makers_disagree_the_lower_reverse_voltage_is_held() -> None:
    rating = library().rectifier_valve("EZ81").reverse_voltage
    assert rating.value == min(rating.published) == 1000.0
    assert 1300.0 in rating.published


def test_a_valve_can_be_made_from_a_sheet_at_hand() -> None:
    gz34 = library().rectifier_valve("GZ34")
    drop = Sourced[Drop](value=Drop(volts=20.0, amps=0.2), source="sheet at hand", status="read")
    made = RectifierValve(
        name="mine",
        cathode=gz34.cathode,
        heater=gz34.heater,
        drop=drop,
        reverse_voltage=Sourced[float](value=1500.0, source="sheet at hand", status="read"),
        peak_current=gz34.peak_current,
        mean_current=gz34.mean_current,
    )
    assert made.perveance.value == pytest.approx(0.2 / 20.0**1.5)
    assert made.minimum_source_resistance(350.0) is None


@pytest.mark.parametrize(
    ("name", "reverse", "mean", "surge", "drop"),
    [
        ("1N4007", 1000.0, 1.0, 30.0, (1.0, 1.0)),
        ("1N5408", 1000.0, 3.0, 200.0, (1.0, 3.0)),
        ("UF4007", 1000.0, 1.0, 30.0, (1.7, 1.0)),
        ("BY127", 1250.0, 1.0, 30.0, (1.1, 1.0)),
        ("BY133", 1300.0, 1.0, 30.0, (1.1, 1.0)),
        ("BY255", 1300.0, 3.0, 100.0, (1.1, 3.0)),
        ("1N4004", 400.0, 1.0, 30.0, (1.0, 1.0)),
    ],
)
def test_diodes(name: str, reverse: float, mean: float, surge: float, drop: tuple[float, float]) -> None:
    diode = library().diode(name)
    assert diode.reverse_voltage.value == reverse
    assert diode.mean_current.value == mean
    assert diode.surge.value.amps == surge
    assert (diode.drop.value.volts, diode.drop.value.amps) == drop


@pytest.mark.parametrize(("name", "amps"), [("1N4007", 27.3), ("1N5408", 182.0)])
def test_surge_at_fifty_hertz_by_equal_i2t(name: str, amps: float) -> None:
    assert library().diode(name).surge_current(10e-3) == pytest.approx(amps, rel=3e-3)


@pytest.mark.parametrize("half_cycle", [1e-3, 0.1])
def test_surge_is_not_scaled_far_from_what_is_stated(half_cycle: float) -> None:
    with pytest.raises(ValueError, match="5 ms and 20 ms"):
        library().diode("1N4007").surge_current(half_cycle)
