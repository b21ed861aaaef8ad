"""Which leads of a winding a rectifier's current passes, and which way."""

from __future__ import annotations

import pytest

from psucheck.supply.leads import branches_off, centre_tap_used, halves, heats, outwards, ways
from psucheck.supply.model import Supply
from psucheck.supply.reader import parse_description

HEAD = """
title = "Leads"
valves = "2 x EL84"
[mains]
voltage = "230 V"
frequency = "50 Hz"
[transformer]
primary = "230 V"
[windings]
halved = "300-0-300 V 100 mA, tap low 40 V"
plain = "250 V 100 mA, tap low 40 V"
heaters = "6.3 V 3 A"
bias = "50 V 100 mA"
"""


def supply(*rectifiers: str) -> Supply:
    """A supply with rectifiers ``"circuit, winding, polarity, end"``, named by their number."""
    text = HEAD
    for number, line in enumerate(rectifiers):
        circuit, winding, *rest = line.split(", ")
        polarity, end = [*rest, *("positive", "")[len(rest) :]]
        text += f'[rectifiers.r{number}]\ncircuit = "{circuit}"\nwinding = "{winding}"\ndevice = "1N4007"\n'
        text += f'polarity = "{polarity}"\n' + (f'end = "{end}"\n' if end else "")
        if "doubler" in circuit:
            text += 'capacitors = ["100 uF 350 V", "100 uF 350 V"]\n'
        text += f'[filter.n{number}]\nfrom = "rectifiers.r{number}"\ncapacitor = "10 uF 450 V"\n'
    return parse_description(text, "test").found


BOTH = (("a", "b"),)


@pytest.mark.parametrize(
    ("rectifier", "expected"),
    [
        ("centre-tapped, halved", (("a", "centre tap"), ("b", "centre tap"))),
        ("bridge, plain", BOTH),
        ("full-wave doubler, plain", BOTH),
        ("cascade doubler, plain", BOTH),
        ("half-wave, plain", BOTH),
        ("half-wave, plain, positive, b", (("b", "a"),)),
        ("half-wave, plain, positive, low", (("b",),)),
        ("half-wave, halved", (("a", "centre tap"),)),
        ("half-wave, halved, positive, b", (("b", "centre tap"),)),
        ("half-wave, halved, positive, low", (("centre tap",),)),
        ("half-wave, bias, negative", BOTH),
    ],
)
def test_the_leads_that_a_half_passes(rectifier: str, expected: tuple[tuple[str, ...], ...]) -> None:
    assert halves(supply(rectifier), "r0") == expected


def test_a_bias_supply_beside_an_ht_rectifier_branches_off_before_the_lead() -> None:
    shared = supply("centre-tapped, halved", "half-wave, halved, negative")
    assert branches_off(shared, "r1")
    assert halves(shared, "r1") == (("centre tap",),)
    assert not branches_off(shared, "r0")
    # Its return is the bridge's lower arm, where a bridge stands.
    assert halves(supply("bridge, plain", "half-wave, plain, negative"), "r1") == (("b",),)


@pytest.mark.parametrize(
    "rectifiers",
    [
        ("half-wave, bias, negative",),
        ("half-wave, heaters", "half-wave, heaters, negative"),
        ("centre-tapped, halved", "centre-tapped, halved, negative"),
        ("centre-tapped, halved", "half-wave, bias, negative"),
    ],
)
def test_no_other_negative_rectifier_does(rectifiers: tuple[str, ...]) -> None:
    assert not branches_off(supply(*rectifiers), f"r{len(rectifiers) - 1}")


def test_which_way_current_flows_in_a_lead() -> None:
    tapped = supply("centre-tapped, halved")
    assert ways(tapped, "halved", "a") == ways(tapped, "halved", "b") == {True}
    assert ways(tapped, "halved", "centre tap") == {False}
    plain = supply("half-wave, plain")
    assert (ways(plain, "plain", "a"), ways(plain, "plain", "b")) == ({True}, {False})
    assert ways(supply("bridge, plain"), "plain", "a") == {True, False}
    assert ways(supply("half-wave, bias, negative"), "bias", "a") == {False}
    assert ways(plain, "heaters", "a") == {True, False}
    assert ways(plain, "bias", "a") == set()


def test_positive_rectifiers_decide_how_a_zener_is_turned() -> None:
    shared = supply("centre-tapped, halved", "half-wave, halved, negative")
    assert ways(shared, "halved", "centre tap") == {True, False}
    assert not outwards(shared, "halved", "centre tap")
    assert outwards(shared, "halved", "a")
    assert not outwards(supply("half-wave, bias, negative"), "bias", "a")


def test_whether_a_centre_tap_is_used_and_a_winding_heats() -> None:
    assert centre_tap_used(supply("centre-tapped, halved"), "halved")
    assert not centre_tap_used(supply("bridge, halved"), "halved")
    assert heats(supply("bridge, plain"), "heaters")
    assert not heats(supply("bridge, plain"), "plain")
