from __future__ import annotations

import pytest

from psucheck.bench.values import cold_values
from tests.bench.benches import TEXTS
from tests.conditions.supplies import describe
from tests.engine_runs import described
from tests.tolerances import within


def test_the_plug_reads_primary_and_fuse() -> None:
    cold = cold_values(described(TEXTS["hundred watts"]))
    assert 3.2 < cold["plug ohms"] < 3.3
    assert (cold["ht a ohms"], cold["ht b ohms"]) == (18.0, 19.0)


def test_without_a_bleeder_a_rail_reads_only_its_leakage() -> None:
    assert cold_values(described(TEXTS["hundred watts"]))["reservoir ohms"] > 500e3


def test_bleeder_and_droppers_in_series() -> None:
    """By hand: from the reservoir 90 ohm of choke, then 10k to a 100k bleeder."""
    text = describe("bled", ladder=(
        'reservoir = "100 uF 500 V"', 'screens = "choke 5 H 90 ohm 200 mA, 47 uF 500 V"',
        'preamp = "10k 1 W, 22 uF 450 V, bleeder 100k 1 W"',
    ))  # fmt: skip
    cold = cold_values(described(text))
    leakage = 1 / (0.002 * 169e-6)  # of all three, 0.002 C U
    whole = 1 / (1 / (90 + 10e3 + 100e3) + 1 / leakage)
    assert cold["reservoir ohms"] == pytest.approx(whole, rel=5e-3)
    assert cold["screens choke ohms"] == within("dc", 90.0)
    assert cold["preamp dropper ohms"] == pytest.approx(10e3, rel=5e-3)
