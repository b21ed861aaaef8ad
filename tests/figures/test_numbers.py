"""Every number of the figures has a path of its own."""

from __future__ import annotations

from dataclasses import replace

from psucheck.figures.numbers import differences, numbers
from tests.conditions.solved import solved


def test_single_numbers_tuples_and_pairs_are_all_found() -> None:
    figures = solved("centre-tapped").at("idle", "nominal")
    found = numbers(figures)
    node, winding = next(iter(figures.nodes)), figures.windings["ht"]
    assert found[f"nodes.{node}.dc"] == figures.nodes[node].dc
    assert found["windings.ht.rms_current.1"] == winding.rms_current[1]
    (hertz, amps), *_ = figures.capacitors[node].ripple_spectrum
    assert found[f"capacitors.{node}.ripple_spectrum.{hertz:g}"] == amps
    assert figures.mains_supply is not None
    assert found["mains_supply.watts"] == figures.mains_supply.watts


def test_what_a_transient_alone_has_is_among_them() -> None:
    figures = solved("centre-tapped").at("switch-off", "high")
    node = next(iter(figures.discharge))
    seconds = figures.discharge[node].seconds_to_60_v
    assert seconds is not None
    assert numbers(figures)[f"discharge.{node}.seconds_to_60_v"] == seconds


def test_what_is_not_reached_has_no_number() -> None:
    figures = solved("centre-tapped").at("switch-off", "high")
    node = next(iter(figures.discharge))
    held = replace(figures.discharge[node], seconds_to_60_v=None)
    without = replace(figures, discharge={**figures.discharge, node: held})
    path = f"discharge.{node}.seconds_to_60_v"
    assert numbers(figures).keys() - numbers(without).keys() == {path}
    assert path not in differences(figures, without)


def test_differences_are_absolute_and_both_ways_alike() -> None:
    one = solved("centre-tapped").at("idle", "nominal")
    other = solved("centre-tapped").at("idle", "high")
    apart = differences(one, other)
    assert apart == differences(other, one)
    node = next(iter(one.nodes))
    assert apart[f"nodes.{node}.dc"] == abs(one.nodes[node].dc - other.nodes[node].dc) > 1.0
    assert set(differences(one, one).values()) == {0.0}
