"""What is run beside the supply as it stands comes out as if it had been run by itself."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

import pytest

from psucheck.conditions.plan import plan
from psucheck.conditions.run import place_readings, run_conditions
from psucheck.conditions.variants import Variant, run_variants
from psucheck.engine.here import Here
from psucheck.figures.measure import measure_coarse
from psucheck.figures.model import Figures
from psucheck.figures.numbers import numbers
from psucheck.supply.fill import fill
from psucheck.supply.reader import parse_description
from tests.conditions.supplies import describe
from tests.tolerances import within

_SUPPOSED = {"transformer.residual_flux": 0.8, "valves.heater_cold_share": 0.14, "loads.output.full": 0.16}
_WANTED = ("switch-on", "switch-on, valves cold", "hot restart", "sag", "switch-off, valves out", "idle")


@cache
def _both() -> tuple[Mapping[str, Figures], Mapping[str, Figures]]:
    """Figures by condition: as a variant of the supply as it stands, and of the other supply by itself."""
    found = parse_description(describe("beside"), "test").found
    pool, plain, other = Here(), fill(found), fill(found, supposed=_SUPPOSED)
    known = run_conditions(plain, plan(plain), place_readings(plain, pool), pool)
    wanted = [o.condition for o in known if o.condition.state in _WANTED]
    beside = next(run_variants([Variant(other, other)], known, wanted, pool))
    alone = run_conditions(other, plan(other), place_readings(other, pool), pool)
    return (
        {outcome.condition.name: measure_coarse(outcome) for outcome in beside},
        {outcome.condition.name: measure_coarse(outcome) for outcome in alone},
    )


def test_what_was_wanted_comes_in_the_order_of_what_is_known() -> None:
    beside, alone = _both()
    assert list(beside) == [name for name in alone if alone[name].state in _WANTED]


@pytest.mark.parametrize(
    "name", [f"{state}, {'wall' if state == 'sag' else 'high'} mains" for state in _WANTED]
)
def test_a_variant_gives_what_its_supply_gives_by_itself(name: str) -> None:
    beside, alone = (numbers(figures[name]) for figures in _both())
    volts = [path for path in alone if path.endswith((".dc", ".max"))]
    amps = [path for path in alone if path.endswith((".peak_current", ".i2t"))]
    assert volts
    for path in volts:
        assert beside[path] == within("same-solution", alone[path]), path
    for path in amps:
        assert beside[path] == within("peak-current", alone[path]), path


def test_at_twice_the_step_a_transient_is_not_quite_the_same() -> None:
    found = parse_description(describe("beside"), "test").found
    pool, plain = Here(), fill(found)
    known = run_conditions(plain, plan(plain), place_readings(plain, pool), pool)
    wanted = [o.condition for o in known if o.condition.state == "switch-on"]
    coarse = next(run_variants([Variant(plain, plain)], known, wanted, pool, step=2.0))[0]
    fine = next(o for o in known if o.condition in wanted)
    one, other = measure_coarse(fine), measure_coarse(coarse)
    path = "places.mains.i2t" if "mains" in one.places else "mains_supply.peak_current"
    assert numbers(other)[path] != numbers(one)[path]
    assert numbers(other)[path] == within("inrush", numbers(one)[path])
