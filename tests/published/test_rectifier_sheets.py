"""Operating points of rectifier valves' data sheets.

Sources: see ``data/rectifier_sheets.csv``, a source and its status at each point. Most were recalled and
not read; the 5U4G point of Emission Labs was read. The perveance comes from the sheet's drop point, never
from these points. Every point is run and compared; ``python -m tests.published.sheet_points`` prints them
all. The sheets do not state the inductance of the source, and none is taken.
"""

from __future__ import annotations

import pytest

from psucheck.circuit.network import GROUND
from psucheck.parts import library
from tests.engine_runs import Bench, steady
from tests.published.sheet_points import SheetPoint, points, run, table
from tests.tolerances import within

NOT_RUN = {
    "EZ41": "neither a drop point nor a perveance of it is known; 250 V, 300 ohm, 32 uF, 60 mA give about "
    "260 V (second-hand)",
    "5T4": "its operating point is known without its volts (450 V, 150 ohm, 40 uF, 225 mA)",
}
"""Valves with a published point that cannot be compared, and why."""


@pytest.mark.parametrize("point", points(), ids=lambda point: point.name)
def test_point(point: SheetPoint) -> None:
    assert run(point).dc == within("sheet-dc", point.dc)


@pytest.mark.parametrize("valve", NOT_RUN)
def test_points_that_cannot_be_run_are_of_valves_that_the_library_lacks(valve: str) -> None:
    assert valve not in library().rectifier_valves


def test_gz34_lies_between_its_two_sets_of_source_resistance() -> None:
    """Two sets of least source resistance circulate, 25 ohm apart; the sheet's volts lie between what they
    give.
    """
    points_of = [point for point in points() if point.valve == "GZ34"]
    outcomes = [run(point) for point in points_of]
    low, high = (
        [o for o in outcomes if "set B" in o.point.note],
        [o for o in outcomes if "set A" in o.point.note],
    )
    for below, above in zip(low, high, strict=True):
        assert below.dc < above.dc
        assert below.point.dc == above.point.dc
        assert below.deviation < 0 < above.deviation + 0.005


def test_soviet_5ts4s_clears_its_least_current() -> None:
    """At least 122 mA into 4.7 kohm from 500 V per anode and 4 uF, with at least 300 mA at 50 V.

    Source: a public valve database citing Katsnelson and Larionov 1981, p 73, read second-hand; limits of an
    acceptance test, source resistance not stated (none taken), 50 Hz.
    """
    bench = Bench(50.0, 500.0)
    output = bench.rail(bench.node())
    bench.centre_tapped(output, 500.0, 1e-3, lambda a, k: bench.valve(a, k, 0.300 / 50**1.5))
    bench.capacitor(output, GROUND, 4e-6, 580.0)
    bench.resistor(output, GROUND, 4700.0)
    assert steady(bench.network).dc(output) / 4700.0 >= 0.122


def test_the_table_reports_every_point_it_is_given() -> None:
    chosen = points()[:2]
    lines = table(chosen).splitlines()
    assert len(lines) == 2 + len(chosen)
    for line, point in zip(lines[2:], chosen, strict=True):
        assert line.startswith(f"| {point.name} | {point.dc:g} | ")
        assert point.status in line
