from __future__ import annotations

from dataclasses import replace

from psucheck.checks.case import Case
from psucheck.checks.cautions import cautions
from psucheck.checks.limits import Limits, default_limits
from psucheck.figures.model import Discharge, Figures
from tests.checks import cases


def fall(state: str, **nodes: Discharge) -> Figures:
    return cases.figures(state, "nominal", discharge=nodes)  # type: ignore[arg-type]


def test_the_cautions_of_the_example(snapshot: object) -> None:
    assert cautions(cases.case(), default_limits()) == snapshot


def test_a_low_supply_has_none() -> None:
    low = {
        name: replace(made, nodes={"reservoir": cases.node(59.0)})
        for name, made in cases.all_figures().items()
    }
    assert cautions(Case(cases.supply(), low), default_limits()) == []
    assert cautions(Case(cases.supply(), {}), default_limits()) == []


def test_a_rail_that_nothing_bleeds_is_named() -> None:
    held = fall(
        "switch-off, valves out",
        reservoir=Discharge(440.0, None, False),
        screens=Discharge(440.0, 900.0, False),
        preamp=Discharge(380.0, 8.0, True),
    )
    said = cautions(cases.case(held), default_limits())
    assert "With the valves out nothing bleeds reservoir and screens: not below 60 V by itself." in said


def test_the_limits_that_are_in_force_decide() -> None:
    held = default_limits()
    other = Limits({**held.entries, "cautions.energy": replace(held["cautions.energy"], value=50.0)})
    assert "from 10 J at 100 V a shock can kill" in " ".join(cautions(cases.case(), held))
    assert "a shock can kill" not in " ".join(cautions(cases.case(), other))


def test_the_slowest_node_is_named_with_its_time() -> None:
    held = fall(
        "switch-off, valves out",
        reservoir=Discharge(440.0, 610.0, True),
        preamp=Discharge(380.0, 8.0, True),
        bias=Discharge(-45.0, 2.0, True),
    )
    said = cautions(cases.case(held), default_limits())
    assert "With the valves out reservoir takes 10 minutes to fall below 60 V." in said


def test_a_fall_that_was_not_run_counts_as_charged() -> None:
    every = {name: made for name, made in cases.all_figures().items() if made.state != "switch-off"}
    said = cautions(Case(cases.supply(), every), default_limits())
    assert any("treat them as charged" in sentence for sentence in said)


def test_energy_below_the_threshold_is_told_without_alarm() -> None:
    little = {
        name: replace(made, capacitors={"reservoir": cases.capacitor(400.0, farads=16e-6)})
        for name, made in cases.all_figures().items()
    }
    assert "The capacitors store 1.28 J." in cautions(Case(cases.supply(), little), default_limits())
