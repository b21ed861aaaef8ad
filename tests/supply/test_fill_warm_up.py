"""How long cathodes take to warm up, and what they emit on the way."""

from __future__ import annotations

import pytest

from psucheck.supply import guesses
from psucheck.supply.filled import FilledSupply, FilledWarmUp
from tests.conditions.supplies import SUPPLIES
from tests.engine_runs import described

SILICON = SUPPLIES["centre-tapped"]
VALVE = '{ kind = "valve", drop = "17 V at 225 mA", reverse_voltage = "1500 V", peak_current = "750 mA" }'


def _with(device: str) -> FilledSupply:
    return described(SILICON.replace('device = "1N4007"', f"device = {device}", 1))


def test_emission_rises_smoothly_from_none_to_all() -> None:
    rise = FilledWarmUp(starts=5.0, full=11.0)
    assert [rise.share(seconds) for seconds in (0.0, 5.0, 8.0, 11.0, 60.0)] == [0.0, 0.0, 0.5, 1.0, 1.0]
    # 3 x^2 - 2 x^3 at a quarter.
    assert rise.share(6.5) == pytest.approx(5 / 32)
    shares = [rise.share(5.0 + 0.05 * step) for step in range(121)]
    assert shares == sorted(shares)


def test_silicon_needs_none() -> None:
    assert set(described(SILICON).warm_ups) == {"valves"}


def test_the_part_librarys_own_times_are_taken() -> None:
    filled = _with('"5U4G"')
    assert filled.warm_ups["rectifiers.ht"] == FilledWarmUp(2.0, 7.0)
    assert "rectifiers.ht.warm_up" not in {a.key for a in filled.assumptions}


@pytest.mark.parametrize(
    ("device", "guess"),
    [
        ('"5Y3GT"', guesses.WARM_UP_DIRECT),
        ('"GZ34"', guesses.WARM_UP_INDIRECT),
        # Nothing tells its cathode: the quicker kind is the harder case.
        (VALVE, guesses.WARM_UP_DIRECT),
    ],
)
def test_other_valves_by_the_kind_of_their_cathode(device: str, guess: guesses.Guess) -> None:
    filled = _with(device)
    rise = filled.warm_ups["rectifiers.ht"]
    assert rise.full == guess.value
    assert 0.0 < rise.starts < rise.full
    noted = next(a for a in filled.assumptions if a.key == "rectifiers.ht.warm_up")
    assert (noted.kind, noted.low, noted.high) == ("guess", guess.low * guess.value, guess.high * guess.value)


def test_the_valves_that_are_fed_are_guessed_once() -> None:
    filled = described(SILICON)
    assert filled.warm_ups["valves"].full == guesses.WARM_UP_VALVES.value
    assert [a.key for a in filled.assumptions if a.key.endswith("warm_up")] == ["valves.warm_up"]


def test_resistances_alone_do_not_warm_up() -> None:
    head = SILICON.split("[loads.output]")[0]
    filled = described(head + '[loads.dummy]\nnode = "preamp"\nresistance = "100k"\n')
    assert not filled.warm_ups
