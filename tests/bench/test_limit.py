from __future__ import annotations

from psucheck.bench.limit import label_of, limit, loads_of
from psucheck.bench.runs import Setting, figures_at
from tests.bench.benches import TEXTS, plan
from tests.engine_runs import Here, described, readings_of
from tests.tolerances import within


def test_up_to_the_wall_where_every_capacitor_stands_it() -> None:
    found = plan("hundred watts").limit
    assert (found.volts, found.capacitor) == (240.0, None)


def test_where_one_is_over_the_limit_is_where_even_a_high_one_is_not() -> None:
    sound = plan("hundred watts")
    filled = described(TEXTS["hundred watts"].replace("100 uF 550 V", "100 uF 450 V"))
    readings = readings_of(filled)
    found = limit(filled, readings, sound.up.spread, 240.0, Here())
    assert (found.capacitor, found.rating) == ("reservoir", 450.0)
    assert found.nominal_volts is not None
    assert found.volts < found.nominal_volts < 240.0
    setting = Setting("valves out", found.volts)
    volts, rating = loads_of(filled, figures_at(filled, readings, [setting], Here())[setting])["reservoir"]
    high = sound.up.spread.limits(setting, "reservoir DC")[1]
    # Rounded down to a whole volt of mains, two volts of B+.
    assert rating - 3.0 < volts * high <= rating * 1.001
    # Off load the rail goes with the mains.
    assert found.nominal_volts / 240.0 == within("transient-volts", 450.0 / _unloaded())


def _unloaded() -> float:
    bench = plan("hundred watts")
    return bench.up.values[bench.full]["reservoir DC"]


def test_what_has_no_rating_is_named() -> None:
    filled = described(TEXTS["hundred watts"].replace("2 W, 32 uF 550 V", "2 W, 32 uF"))
    found = limit(filled, readings_of(filled), plan("hundred watts").up.spread, 240.0, Here())
    assert "splitter" in found.unrated


def test_labels() -> None:
    filled = described(TEXTS["bridge with centre tap"])
    assert label_of(filled, "reservoir") == "2 x 350 V in series"
    assert label_of(filled, "screens") == "500 V"
