from __future__ import annotations

import pytest

from psucheck.checks.chokes import inductance, inductance_guessed, ripple_hertz
from tests.checks import cases
from tests.checks.rules import guess

UNKNOWN = {"screens": {"choke": {"inductance": None}}}
KEY = "filter.screens.choke.inductance"


def test_the_described_inductance_goes_first() -> None:
    case = cases.case(assumptions=(guess(KEY),))
    assert inductance(case, "screens") == 10.0


def test_else_the_assumed_one_is_taken() -> None:
    case = cases.case(filter=UNKNOWN, assumptions=(guess(KEY),))
    assert (inductance(case, "screens"), inductance_guessed(case, "screens")) == (1.0, True)


def test_a_node_without_a_choke_has_none() -> None:
    assert inductance(cases.case(), "splitter") is None


@pytest.mark.parametrize(("name", "hertz"), [("ht", 100.0), ("bias", 50.0)])
def test_full_wave_ripples_at_twice_the_mains(name: str, hertz: float) -> None:
    case = cases.case()
    assert ripple_hertz(case, case.supply.rectifiers[name]) == hertz
