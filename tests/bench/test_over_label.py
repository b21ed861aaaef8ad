from __future__ import annotations

from dataclasses import replace

import pytest

from psucheck.bench.over_label import over_label
from tests.bench.benches import TEXTS, plan
from tests.engine_runs import described


def said_of(reservoir: str) -> list[str]:
    """What is said with another rating on the reservoir; the volts stay the same."""
    text = TEXTS["hundred watts"].replace('"100 uF 550 V"', reservoir)
    return list(over_label(replace(plan("hundred watts"), filled=described(text))))


def test_what_stands_the_unloaded_rail_is_not_mentioned() -> None:
    assert said_of('"100 uF 500 V"') == []


@pytest.mark.parametrize(
    ("reservoir", "said"),
    [
        ('"100 uF 400 V"', "at idle, its label says 400 V. Fit one that stands it before this step."),
        ('"100 uF 475 V"', "borne for half a minute from cold (surge voltage 522 V)"),
        (
            '{ capacitor = { value = "100 uF", voltage = "475 V", surge_voltage = "480 V" } }',
            "above its surge voltage of 480 V. Fit one",
        ),
    ],
)
def test_one_that_does_not_is_said_before_the_valves_go_in(reservoir: str, said: str) -> None:
    [sentence] = said_of(reservoir)
    assert sentence.startswith("reservoir stands at ")
    assert said in sentence
