from __future__ import annotations

import pytest

from psucheck.bench.lamp import filament_ohms, lamp_view
from psucheck.report.sheet_view import LampView
from tests.bench.benches import TEXTS
from tests.engine_runs import Here, described, readings_of


def test_a_filament_by_its_rating() -> None:
    hot = filament_ohms(60.0, 230.0, 230.0)
    assert hot == pytest.approx(230.0**2 / 60.0)
    assert filament_ohms(60.0, 230.0, 0.0) == pytest.approx(hot / 10)
    # Current as volts to the power 0.55.
    half = 115.0 / filament_ohms(60.0, 230.0, 115.0)
    assert half / (230.0 / hot) == pytest.approx(0.5**0.55)


@pytest.fixture(scope="module")
def view() -> LampView:
    filled = described(TEXTS["hundred watts"])
    return lamp_view(filled, readings_of(filled), 240.0, 60.0, Here())


def test_with_the_valves_out_it_lets_nearly_all_through(view: LampView) -> None:
    assert 0.85 * 240.0 < view.volts_out < 240.0
    assert view.lamp_out < 0.25 * 240.0
    reservoir = next(line for line in view.capacitors if line.capacitor == "reservoir")
    assert (reservoir.volts > 400.0, reservoir.rating) == (True, 550.0)


def test_with_the_valves_in_it_starves_the_amplifier(view: LampView) -> None:
    assert view.volts_in is not None
    assert view.lamp_in is not None
    assert 50.0 < view.volts_in < 0.7 * 240.0
    assert view.lamp_in > view.lamp_out
    assert any("too cold" in said for said in view.said)


def test_it_claims_to_prove_no_short_and_nothing_else(view: LampView) -> None:
    assert any("proves no short and nothing else" in said for said in view.said)
    assert any("no gentle start" in said for said in view.said)


def test_a_can_over_its_label_behind_the_lamp_is_said() -> None:
    filled = described(TEXTS["hundred watts"].replace("100 uF 550 V", "100 uF 400 V"))
    view = lamp_view(filled, readings_of(filled), 240.0, 150.0, Here())
    assert any(said.startswith("reservoir stands at") for said in view.said)
