"""Mains systems, capacitors, resistors, transformers, chokes, inrush limiters."""

from math import pi

import pytest

from psucheck.parts import NotTabulated, library


@pytest.mark.parametrize(
    ("name", "low", "nominal", "high"),
    [
        ("UK", 216.2, 230.0, 253.0), ("EU", 207.0, 230.0, 253.0), ("Australia", 216.2, 230.0, 253.0),
        ("New Zealand", 216.2, 230.0, 243.8), ("US", 114.0, 120.0, 126.0), ("Japan", 95.0, 100.0, 107.0),
        ("UK before 1995", 225.6, 240.0, 254.4), ("Continent before 1987", 198.0, 220.0, 242.0),
        ("Continent transition", 207.0, 230.0, 243.8),
    ],
)  # fmt: skip
def test_mains_ranges(name: str, low: float, nominal: float, high: float) -> None:
    volts = library().mains_system(name).voltage.value
    assert (volts.low, volts.nominal, volts.high) == (low, nominal, high)


def test_frequencies() -> None:
    assert library().mains_system("UK").frequency == 50.0
    assert library().mains_system("US").frequency == 60.0
    assert library().mains_system("Japan").frequency is None


def test_reference_impedance() -> None:
    impedance = library().mains_system("EU").impedance.value
    assert abs(complex(impedance.ohms, impedance.reactance_ohms)) == pytest.approx(0.472, abs=5e-4)
    assert impedance.henries == pytest.approx(0.25 / (2 * pi * 50.0))
    assert library().mains_system("US").impedance.status == "practice"


@pytest.mark.parametrize(
    ("rated", "surge"), [(350.0, 385.0), (400.0, 440.0), (450.0, 495.0), (500.0, 550.0), (315.0, 362.25)]
)
def test_surge_voltage(rated: float, surge: float) -> None:
    assert rated * library().capacitor_rules.surge_ratio(rated).value == pytest.approx(surge)


def test_surge_ratio_says_it_was_recalled() -> None:
    rules = library().capacitor_rules
    assert rules.surge_ratio(250.0).citation == rules.surge_ratio(450.0).citation
    assert rules.surge_ratio(250.0).status == "recalled"


def test_leakage() -> None:
    assert library().capacitor_rules.leakage_current(50e-6, 450.0) == pytest.approx(48e-6)


@pytest.mark.parametrize(
    ("family", "farads", "volts", "ohms"),
    [
        ("radial", 22e-6, 350.0, 12.06), ("radial", 47e-6, 450.0, 7.05), ("snap-in", 100e-6, 450.0, 1.99),
        ("snap-in 105 C, long life", 220e-6, 450.0, 1.23), ("snap-in", 16e-6, 400.0, 12.43),
    ],
)  # fmt: skip
def test_greatest_esr(family: str, farads: float, volts: float, ohms: float) -> None:
    esr = library().capacitor_family(family).esr(farads, volts)
    assert esr is not None
    assert esr.ohms == pytest.approx(ohms, rel=2e-3)
    assert esr.tan_delta.outside is None


def test_esr_outside_the_sheet_says_so() -> None:
    esr = library().default_tan_delta_family.esr(32e-6, 500.0)
    assert esr is not None
    assert esr.tan_delta == (0.25, "above")
    assert library().capacitor_family("axial").esr(16e-6, 450.0) is None


@pytest.mark.parametrize(
    ("hertz", "ratio"), [(50.0, 0.86), (100.0, 1.0), (400.0, 1.21), (10000.0, 1.40), (120.0, 1.0342)]
)
def test_ripple_multipliers(hertz: float, ratio: float) -> None:
    reading = library().default_ripple_family.ripple_multiplier(hertz)
    assert reading is not None
    assert reading.value == pytest.approx(ratio, abs=1e-4)
    assert reading.outside is None


def test_ripple_multipliers_hold_beyond_their_ends() -> None:
    family = library().default_ripple_family
    assert family.ripple_multiplier(20000.0) == (1.40, "above")
    assert family.ripple_multiplier(10.0) == (0.86, "below")
    assert library().capacitor_family("radial").ripple_multiplier(100.0) is None


def test_ripple_multipliers_are_one_at_their_base() -> None:
    for family in library().capacitor_families:
        if family.ripple_multipliers is not None:
            reading = family.ripple_multiplier(family.ripple_multipliers.value.base_hertz)
            assert reading is not None
            assert reading.value == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("watts", "volts"), [(0.25, 150.0), (0.5, 250.0), (1.0, 300.0), (2.0, 350.0), (3.0, 500.0)]
)
def test_unknown_resistors_take_the_lowest_working_voltage(watts: float, volts: float) -> None:
    rating = library().resistor_family().voltage_rating(watts)
    assert rating is not None
    assert rating.value == volts
    for family in library().resistor_families:
        if family.working_voltage is not None and watts in family.working_voltage.value.watts:
            other = family.voltage_rating(watts)
            assert other is not None
            assert other.value >= volts


def test_a_power_between_two_rows_takes_the_row_below() -> None:
    rating = library().resistor_family("metal film").voltage_rating(1.6)
    assert rating is not None
    assert rating.value == 350.0


@pytest.mark.parametrize("watts", [0.1, 7.0])
def test_no_working_voltage_outside_the_table(watts: float) -> None:
    with pytest.raises(NotTabulated):
        library().resistor_family().voltage_rating(watts)


def test_lasting_voltage_is_the_lower_of_both_limits() -> None:
    family = library().resistor_family()
    assert family.continuous_voltage(220e3, 1.0) == pytest.approx(300.0)
    assert family.continuous_voltage(1e3, 1.0) == pytest.approx(1e3**0.5)
    assert library().resistor_family("wirewound").continuous_voltage(10e3, 25.0) == pytest.approx(500.0)


def test_transformer_classes_are_marked_as_guesses() -> None:
    for held in library().transformer_classes:
        for value in (held.half_ohms, held.primary_ohms_230_volts, held.regulation):
            assert (value.status, value.confidence) == ("practice", "low")
            assert value.value.least < value.value.most


def test_rectifier_guide() -> None:
    guide = library().rectifier_guide
    assert guide["bridge, capacitor input"].idc_over_iac.value == 0.62
    assert guide["centre-tapped, capacitor input"].idc_over_iac.value == 1.00


def test_chokes() -> None:
    choke = library().choke("hammond 193j")
    assert (choke.inductance.value, choke.rated_current.value, choke.resistance.value) == (10.0, 0.2, 79.0)
    assert library().choke_saturation.knee_over_rated.status == "practice"


def test_inrush_limiters() -> None:
    limiter = library().ntc("SL10 10003")
    assert limiter.cold_resistance.value == 10.0
    for held in library().ntcs:
        hot = held.hot.value
        assert list(hot.ohms) == sorted(hot.ohms, reverse=True)
        assert hot.amps[-1] <= held.rated_current.value
        assert hot.ohms[0] < held.cold_resistance.value
