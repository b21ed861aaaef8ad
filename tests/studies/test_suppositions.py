"""Which guesses are put at which end of their range, and what would settle each."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from psucheck.studies.suppositions import Strain, measurement, strain, stresses, suppositions
from psucheck.supply.assumptions import Assumption

FLUX = Assumption("transformer.residual_flux", 0.5, "1", "guess", "", low=0.0, high=0.8)
COPPER = Assumption("transformer.primary.resistance", 8.0, "ohm", "guess", "", low=4.0, high=12.0)
KNEE = Assumption("filter.screens.choke.knee", 0.4, "A", "guess", "", low=0.3, high=0.8)
GIVEN = Assumption("mains.impedance", 0.4, "ohm", "default", "")
ALL = (COPPER, KNEE, FLUX, GIVEN)


def ends(strained: Strain, *, hard: bool) -> dict[str, float]:
    return {one.assumption.key: one.value for one in stresses(ALL, strained, hard=hard)}


def test_a_current_is_hardest_with_little_in_its_way_and_the_flux_high() -> None:
    assert ends("current", hard=True) == {FLUX.key: 0.8, COPPER.key: 4.0, KNEE.key: 0.3}
    assert ends("current", hard=False) == {COPPER.key: 12.0, KNEE.key: 0.8}


def test_flux_is_chance_and_cannot_be_measured() -> None:
    assert measurement(FLUX.key) is None
    assert [one.assumption for one in suppositions(ALL) if one.chance] == [FLUX, FLUX]


def test_what_moves_most_is_tried_first() -> None:
    assert stresses(ALL, "current", hard=True)[0].assumption is FLUX


def test_volts_overshoot_most_behind_a_choke_that_does_not_saturate() -> None:
    assert ends("overshoot", hard=True) == {KNEE.key: 0.8, COPPER.key: 4.0}


def test_a_sag_is_deepest_with_much_copper() -> None:
    assert ends("sag", hard=True) == {COPPER.key: 12.0}


@pytest.mark.parametrize(
    ("rule", "state", "strained"),
    [
        ("fuse-inrush", "hot restart", "current"),
        ("capacitor-voltage", "standby closes", "overshoot"),
        ("regulation", "sag", "sag"),
    ],
)
def test_rules_hold_volts_or_currents(rule: str, state: str, strained: str) -> None:
    of: Callable[..., Strain] = strain
    assert of(rule, state) == strained


def test_every_guess_with_a_range_is_tried_at_both_ends() -> None:
    tried = [(one.assumption.key, one.value) for one in suppositions(ALL)]
    assert tried == [(a.key, value) for a in (COPPER, KNEE, FLUX) for value in (a.low, a.high)]


@pytest.mark.parametrize(
    ("key", "words"),
    [
        ("windings.ht.resistance", "the ohms and the off-load volts of the winding"),
        ("transformer.primary.resistance", "the ohms of the primary"),
        ("filter.preamp.current", "DC on both sides of the dropper (was)"),
        ("loads.output.full", "the current at full output, and the drop over a screen resistor"),
        ("valves.heater_cold_share", "the ohms of the cold heaters"),
    ],
)
def test_each_guess_names_its_measurement(key: str, words: str) -> None:
    assert measurement(key) == words
