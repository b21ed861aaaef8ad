from __future__ import annotations

from dataclasses import replace

from psucheck.checks.case import Case
from psucheck.checks.cautions import cautions
from psucheck.figures.model import Discharge, Figures
from tests.checks import cases


def fall(state: str, **nodes: Discharge) -> Figures:
    return cases.figures(state, "nominal", discharge=nodes)  # type: ignore[arg-type]


def test_the_cautions_of_the_example(snapshot: object) -> None:
    assert cautions(cases.case()) == snapshot


def test_a_low_supply_has_none() -> None:
    low = {
        name: replace(made, nodes={"reservoir": cases.node(59.0)})
        for name, made in cases.all_figures().items()
    }
    assert cautions(Case(cases.supply(), low)) == []
    assert cautions(Case(cases.supply(), {})) == []


def test_a_rail_that_nothing_bleeds_is_named() -> None:
    held = fall(
        "switch-off, valves out",
        reservoir=Discharge(440.0, None, False),
        screens=Discharge(440.0, 900.0, False),
        preamp=Discharge(380.0, 8.0, True),
    )
    said = cautions(cases.case(held))
    assert "With the valves out nothing bleeds reservoir and screens: not below 60 V by itself." in said


def test_the_slowest_node_is_named_with_its_time() -> None:
    held = fall(
        "switch-off, valves out",
        reservoir=Discharge(440.0, 610.0, True),
        preamp=Discharge(380.0, 8.0, True),
        bias=Discharge(-45.0, 2.0, True),
    )
    assert "With the valves out reservoir takes 10 minutes to fall below 60 V." in cautions(cases.case(held))


def test_a_fall_that_was_not_run_counts_as_charged() -> None:
    every = {name: made for name, made in cases.all_figures().items() if made.state != "switch-off"}
    said = cautions(Case(cases.supply(), every))
    assert any("treat them as charged" in sentence for sentence in said)


def test_energy_below_the_threshold_is_told_without_alarm() -> None:
    little = {
        name: replace(made, capacitors={"reservoir": cases.capacitor(400.0, farads=16e-6)})
        for name, made in cases.all_figures().items()
    }
    assert "The capacitors store 1.28 J." in cautions(Case(cases.supply(), little))
