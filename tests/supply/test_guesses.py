"""Every guess has a source and a range about it, and every value that was assumed names where it belongs."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from psucheck.supply import guesses
from psucheck.supply.assumptions import Assumption
from psucheck.supply.fill import fill
from psucheck.supply.filled import FilledSupply
from psucheck.supply.model import Supply
from psucheck.supply.reader import parse_description, read_description
from tests.conditions.supplies import SUPPLIES
from tests.supply.sketch import filled, text

_NETLISTS = Path(__file__).parents[2] / "netlists"


def _all() -> Iterator[tuple[str, guesses.Guess]]:
    for name, value in vars(guesses).items():
        if isinstance(value, guesses.Guess):
            yield name, value
        elif isinstance(value, dict):
            for key, inner in value.items():
                if isinstance(inner, guesses.Guess):
                    yield f"{name}[{key}]", inner


GUESSES = dict(_all())


def test_there_are_guesses_to_look_at() -> None:
    assert len(GUESSES) >= 12


@pytest.mark.parametrize("name", GUESSES)
def test_a_guess_has_a_source_and_a_range(name: str) -> None:
    guess = GUESSES[name]
    assert guess.source.strip()
    assert guess.value > 0
    assert 0 <= guess.low < 1 < guess.high


def test_a_guess_becomes_an_assumption_with_its_range() -> None:
    note = guesses.Guess(2.0, "ohm", "a sheet", 0.5, 3.0).assume("x.y", "not given", 10.0)
    assert note == Assumption("x.y", 10.0, "ohm", "guess", "not given", "a sheet", low=5.0, high=30.0)
    assert guesses.Guess(2.0, "ohm", "a sheet", 0.5, 3.0).assume("x.y", "not given").value == 2.0


def _supplies() -> dict[str, FilledSupply]:
    found = {path.stem: fill(read_description(path).found) for path in sorted(_NETLISTS.glob("*.toml"))}
    found |= {name: fill(parse_description(described, name).found) for name, described in SUPPLIES.items()}
    bare = {
        "mains": '[mains]\nvoltage = "120 V"\nfrequency = "60 Hz"',
        "transformer": '[transformer]\nprimary = "120 V"',
        "windings": '[windings]\nht = "300-0-300 V, tap bias 50 V"\nheaters = "6.3 V"',
        "filter": '[filter]\nreservoir = "50 uF"\nscreens = "choke 100 ohm, 50 uF"\npreamp = "10k, 22 uF"',
        "fuses": '[fuses]\nmains = "T2AL250V"',
    }
    found["nothing known"] = filled(**bare)
    assert "nothing is known" not in text(**bare)
    return found


FILLED = _supplies()

_DERIVED = {
    "current", "heater_amps", "heater_cold_share", "heater_time_constant", "knee", "leakage", "load", "mu",
    "off_load_volts", "residual_flux", "warm_up",
}  # fmt: skip
"""What is assumed beside the keys that a description may state."""


def _leads_somewhere(key: str, supply: Supply) -> bool:
    """Whether ``key`` starts at a table of the description and names what is there."""
    table, _, rest = key.partition(".")
    value = getattr(supply, table)
    if isinstance(value, dict):
        name = next((name for name in value if rest == name or rest.startswith(f"{name}.")), None)
        if name is None:
            return False
        rest = rest.removeprefix(name).removeprefix(".")
        value = value[name]
    *path, last = rest.split(".")
    for step in path:
        if isinstance(value, dict):
            value = value.get(step)
        elif isinstance(value, tuple) and step.isdigit():
            value = value[int(step)]
        else:
            value = getattr(value, step, None)
        if value is None:
            return False
    return hasattr(value, last) or last in _DERIVED or (isinstance(value, dict) and last in value)


@pytest.mark.parametrize("name", FILLED)
def test_what_is_assumed_names_its_place_in_the_description(name: str) -> None:
    supply = FILLED[name]
    strange = [n.key for n in supply.assumptions if not _leads_somewhere(n.key, supply.supply)]
    assert strange == []


@pytest.mark.parametrize("name", FILLED)
def test_what_is_assumed_is_assumed_once(name: str) -> None:
    keys = [note.key for note in FILLED[name].assumptions]
    assert len(keys) == len(set(keys))


@pytest.mark.parametrize("name", FILLED)
def test_what_is_assumed_says_why_and_on_what_ground(name: str) -> None:
    for note in FILLED[name].assumptions:
        assert note.why, note.key
        assert note.unit, note.key
        if note.kind != "derived":
            assert note.source, note.key
        if note.low is not None and note.high is not None:
            assert note.low <= note.value <= note.high, note.key
            assert note.low < note.high, note.key
