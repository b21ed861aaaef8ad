"""Output and small valves, and the amplification factor."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from psucheck.parts import library
from psucheck.parts.valves import OperatingPoint, amplification_factor, three_halves_constant


def point(screen: float, grid: float, milliamps: float) -> OperatingPoint:
    return OperatingPoint(
        anode_volts=300.0, screen_volts=screen, grid_volts=grid, anode_amps=milliamps * 1e-3, screen_amps=0.0
    )


@pytest.mark.parametrize(
    ("name", "mu"),
    [("6L6GC", 7.44), ("EL34", 9.6), ("EL84", 18.1), ("6550", 7.26), ("KT88", 6.18), ("5881", 7.31)],
)
def test_mu_of_the_held_points(name: str, mu: float) -> None:
    held = library().load_valve(name).mu
    assert held is not None
    assert held.value == pytest.approx(mu, rel=5e-3)
    assert held.status == "derived"


def test_the_law_passes_through_both_points_of_every_valve() -> None:
    tried = 0
    for valve in library().load_valves:
        if valve.mu is None:
            continue
        mu = valve.mu.value
        a, b = (one.value for one in valve.law_points)
        k = three_halves_constant(a, mu)
        assert k * (b.screen_volts / mu + b.grid_volts) ** 1.5 == pytest.approx(b.cathode_amps, rel=1e-9)
        tried += 1
    assert tried == 7


def test_mu_agrees_with_a_numeric_root() -> None:
    a, b = (one.value for one in library().load_valve("6L6GC").law_points)

    def miss(mu: float) -> float:
        return three_halves_constant(a, mu) - three_halves_constant(b, mu)

    cut_off = min(-a.screen_volts / a.grid_volts, -b.screen_volts / b.grid_volts)
    root = brentq(miss, 0.3 * cut_off, 0.999 * cut_off, xtol=1e-12)
    assert amplification_factor(a, b) == pytest.approx(root, rel=1e-9)


@given(
    mu=st.floats(4.0, 25.0),
    k=st.floats(1e-4, 5e-3),
    screen=st.floats(150.0, 400.0),
    ratio=st.floats(1.05, 1.8),
    drive=st.floats(0.2, 0.8),
    other=st.floats(0.85, 0.95),
)
def test_mu_is_found_again(
    mu: float, k: float, screen: float, ratio: float, drive: float, other: float
) -> None:
    def made(volts: float, share: float) -> OperatingPoint:
        grid = -share * volts / mu
        return point(volts, grid, 1e3 * k * (volts / mu + grid) ** 1.5)

    assert amplification_factor(made(screen, drive), made(screen * ratio, other)) == pytest.approx(
        mu, rel=1e-6
    )


def test_the_order_of_the_points_is_no_matter() -> None:
    a, b = point(250.0, -14.0, 77.0), point(400.0, -37.0, 60.8)
    assert amplification_factor(a, b) == pytest.approx(amplification_factor(b, a), rel=1e-12)


def test_points_of_one_drive_ratio_settle_nothing() -> None:
    a = point(200.0, -10.0, 50.0)
    b = point(400.0, -20.0, 50.0 * 2.0**1.5)
    with pytest.raises(ValueError, match="do not settle"):
        amplification_factor(a, b)


def test_points_that_no_law_joins_are_refused() -> None:
    with pytest.raises(ValueError, match="no three-halves law"):
        amplification_factor(point(250.0, -14.0, 10.0), point(400.0, -37.0, 400.0))


def test_a_point_in_cut_off_has_no_constant() -> None:
    with pytest.raises(ValueError, match="cut off"):
        three_halves_constant(point(200.0, -30.0, 1.0), 10.0)


def test_kt77_has_no_mu_and_says_so() -> None:
    kt77 = library().load_valve("KT77")
    assert kt77.mu is None
    assert kt77.note is not None
    assert "No two operating points are known" in kt77.note


@pytest.mark.parametrize(
    ("name", "heater", "anode", "watts"),
    [
        ("EL34", 1.5, 800.0, 25.0), ("KT77", 1.4, 800.0, 25.0), ("KT88", 1.6, 800.0, 42.0),
        ("6550", 1.6, 600.0, 35.0), ("6L6GC", 0.9, 500.0, 30.0), ("5881", 0.9, 400.0, 23.0),
        ("EL84", 0.76, 300.0, 12.0), ("6V6GT", 0.45, 315.0, 12.0), ("ECC83", 0.3, 300.0, 1.0),
        ("ECC81", 0.3, 300.0, 2.5),
    ],
)  # fmt: skip
def test_limits(name: str, heater: float, anode: float, watts: float) -> None:
    valve = library().load_valve(name)
    assert valve.heater.value.volts == 6.3
    assert valve.heater.value.amps == heater
    assert valve.anode_voltage_limit.value == anode
    assert valve.anode_watts.value == watts


@pytest.mark.parametrize(
    ("line_up", "amps"),
    [
        ({"EL34": 2, "ECC83": 3}, 3.9), ({"EL34": 4, "ECC83": 3}, 6.9), ({"6L6GC": 2, "ECC83": 4}, 3.0),
        ({"6V6GT": 2, "ECC83": 4}, 2.1), ({"EL84": 2, "ECC83": 3}, 2.42),
    ],
)  # fmt: skip
def test_heater_totals(line_up: dict[str, int], amps: float) -> None:
    total = sum(count * library().load_valve(name).heater.value.amps for name, count in line_up.items())
    assert total == pytest.approx(amps)


def test_heaters_in_series_take_the_same_power() -> None:
    for valve in library().load_valves:
        if valve.heater_in_series is not None:
            series, single = valve.heater_in_series.value, valve.heater.value
            assert series.volts * series.amps == pytest.approx(single.volts * single.amps)


def test_push_pull_rows_keep_within_the_limits_at_idle() -> None:
    rows = 0
    for valve in library().load_valves:
        for held in valve.push_pull:
            row = held.value
            assert row.anode_volts <= valve.anode_voltage_limit.value
            # Where the table states supply volts, the output transformer and the cathode take their share.
            excess = 1.15 if held.note == "supply voltages" else 1.05
            assert row.anode_volts * row.anode_idle_amps / 2 <= excess * max(valve.anode_watts.published)
            assert row.anode_full_amps > row.anode_idle_amps
            assert row.screen_full_amps > row.screen_idle_amps
            assert row.power_watts < row.anode_volts * row.anode_full_amps
            rows += 1
    assert rows == 17


def test_small_valves_have_a_typical_current() -> None:
    for valve in library().load_valves:
        assert (valve.use == "small") == bool(valve.typical)
        assert (valve.use == "small") == (valve.usual_current is not None)
    usual = library().load_valve("ECC83").usual_current
    assert usual is not None
    assert usual.status == "practice"


def test_cold_heaters_draw_several_times_their_current() -> None:
    ratio = library().heater_inrush.value
    assert (ratio.least, ratio.most) == (2.7, 7.2)
