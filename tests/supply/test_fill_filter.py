import math

import pytest

from psucheck.supply import guesses
from psucheck.supply.assumptions import Assumption
from psucheck.supply.fill_filter import fill_capacitor, fill_choke
from psucheck.supply.model import Capacitor, Choke
from tests.supply.sketch import filled, notes


def test_a_capacitors_esr_comes_from_its_loss_factor() -> None:
    made: list[Assumption] = []
    capacitor = fill_capacitor("filter.reservoir.capacitor", Capacitor(value=50e-6, voltage=500.0), made)
    # 0.075 at 120 Hz: 2 ohm for 50 uF.
    assert capacitor.esr == pytest.approx(0.075 / (2 * math.pi * 120 * 50e-6))
    assert [note.key for note in made] == [
        "filter.reservoir.capacitor.esr",
        "filter.reservoir.capacitor.leakage",
    ]


def test_a_given_esr_is_taken() -> None:
    made: list[Assumption] = []
    assert fill_capacitor("x", Capacitor(value=50e-6, esr=0.8), made).esr == 0.8
    assert [note.key for note in made] == ["x.leakage"]


@pytest.mark.parametrize("microfarads", [10.0, 50.0, 220.0])
def test_leakage_is_a_thousandth_twice_of_c_times_u(microfarads: float) -> None:
    capacitor = fill_capacitor("x", Capacitor(value=microfarads * 1e-6), [])
    volts = 450.0
    assert volts / capacitor.leakage_ohms * 1e6 == pytest.approx(0.002 * microfarads * volts)


def test_each_part_of_a_string_is_filled_by_itself() -> None:
    supply = filled(
        filter='[filter]\nreservoir = "2 x 100 uF 350 V in series with 220k 1 W each"\n'
        'screens = "1k, 50 uF 500 V"'
    )
    capacitor = supply.nodes["reservoir"].capacitor
    assert capacitor is not None
    assert (capacitor.farads, capacitor.in_series, capacitor.balancing_ohms) == (100e-6, 2, 220e3)
    assert capacitor.esr == pytest.approx(0.075 / (2 * math.pi * 120 * 100e-6))


def test_a_choke_as_marked() -> None:
    made: list[Assumption] = []
    choke = fill_choke("x", Choke(resistance=110.0, inductance=10.0, current=0.18), 0.1, made)
    assert (choke.henries, choke.ohms) == (10.0, 110.0)
    assert choke.knee_amps == pytest.approx(0.36)
    assert [note.key for note in made] == ["x.knee"]


def test_a_choke_of_which_only_the_copper_was_measured() -> None:
    made: list[Assumption] = []
    choke = fill_choke("x", Choke(resistance=110.0), 0.1, made)
    assert choke.henries == guesses.CHOKE_HENRIES.value
    assert choke.knee_amps == pytest.approx(2 * 1.5 * 0.1)
    assert [note.key for note in made] == ["x.inductance", "x.current", "x.knee"]
    for note in made:
        assert note.low is not None
        assert note.high is not None
        assert note.low < note.value < note.high


def test_a_choke_with_hardly_any_current_still_has_a_knee() -> None:
    choke = fill_choke("x", Choke(resistance=110.0), 0.0, [])
    assert choke.knee_amps == pytest.approx(0.04)


def test_an_unrated_choke_is_meant_for_what_flows_through_it_at_full_output() -> None:
    supply = filled(
        filter='[filter]\nreservoir = "50 uF 500 V, was 400 V"\n'
        'screens = "choke 10 H 100 ohm, 50 uF 500 V"\npreamp = "10k 1 W, 22 uF 450 V"',
        more='[loads.preamp]\nnode = "preamp"\ncurrent = "5 mA"',
    )
    full = supply.outputs["output"].full_screen_amps + 5e-3
    assert notes(supply)["filter.screens.choke.current"].value == pytest.approx(1.5 * full)


def test_droppers_and_bleeders_are_what_the_drawing_says() -> None:
    supply = filled(
        filter='[filter]\nreservoir = "50 uF 500 V, bleeder 220k 1 W"\nscreens = "4k7 1 W, 50 uF 500 V"'
    )
    assert supply.nodes["reservoir"].bleeder_ohms == 220e3
    assert supply.nodes["screens"].resistor_ohms == 4700.0
    assert supply.nodes["reservoir"].resistor_ohms is None
