"""The bias network is derived so that the node gives what was read; the run of it is in tests/conditions."""

import math

import pytest
from scipy.integrate import quad

from psucheck.supply import guesses
from psucheck.supply.filled import FilledSupply
from tests.supply.sketch import SECTIONS, filled, notes


def _bias(rectifier: str, node: str, **sections: str) -> FilledSupply:
    more = (
        '[rectifiers.bias]\ncircuit = "half-wave"\npolarity = "negative"\nwinding = "ht"\ndevice = "1N4007"\n'
        f'{rectifier}\n[filter.bias]\nfrom = "rectifiers.bias"\ncapacitor = "10 uF 100 V"\n{node}'
    )
    output = SECTIONS["output"].replace('bias = "-36 V"', 'bias = "bias"')
    return filled(output=output, more=more, **sections)


def _ohms(supply: FilledSupply) -> float:
    ohms = supply.nodes["bias"].bias_load_ohms
    assert ohms is not None
    return ohms


def test_through_a_feed_resistor_the_mean_of_what_gets_through_is_what_the_load_takes() -> None:
    supply = _bias('feed = "47k 2 W"', 'was = "-42 V"')
    peak, held, feed = math.sqrt(2) * 300.0, 42.0, 47e3

    def amps(angle: float) -> float:
        return max(peak * math.sin(angle) - held, 0.0) / feed

    mean = quad(amps, 0, math.pi, points=[math.asin(held / peak), math.pi - math.asin(held / peak)])[0] / (
        2 * math.pi
    )
    assert _ohms(supply) == pytest.approx(held / mean, rel=1e-6)
    note = notes(supply)["filter.bias.load"]
    assert note.kind == "derived"
    assert "-42 V" in note.why


def test_through_a_feed_capacitor_each_cycle_brings_its_charge() -> None:
    supply = _bias('feed = "47 nF 1000 V"\nclamp = "1N4007"', 'was = "-42 V"')
    peak, held = math.sqrt(2) * 300.0, 42.0
    assert _ohms(supply) == pytest.approx(held / (50.0 * 47e-9 * (2 * peak - held)))


def test_beside_a_bridge_the_end_of_the_winding_swings_half_as_far() -> None:
    bridge = '[rectifiers.ht]\ncircuit = "bridge"\nwinding = "ht"\ndevice = "1N4007"'
    windings = SECTIONS["windings"].replace("300-0-300 V", "300 V").replace("36 + 38 ohm", "36 ohm")
    feed = 'feed = "47 nF 1000 V"\nclamp = "1N4007"'
    bridged = _bias(feed, 'was = "-42 V"', rectifiers=bridge, windings=windings)
    peak, held = math.sqrt(2) * 300.0, 42.0
    assert _ohms(bridged) == pytest.approx(held / (50.0 * 47e-9 * (peak - held)))


def test_a_resistor_before_the_node_has_its_share() -> None:
    plain = _ohms(_bias('feed = "47k 2 W"', 'was = "-42 V"'))
    assert _ohms(_bias('feed = "47k 2 W"', 'was = "-42 V"\nresistor = "3k3"')) == pytest.approx(plain - 3300)


@pytest.mark.parametrize(
    ("node", "held"),
    [
        ('was = "-42 V"\nrange = ["-28 V", "-45 V"]\nset = "-36 V"', "-42 V"),
        ('range = ["-28 V", "-45 V"]\nset = "-36 V"', "-45 V"),
        ('set = "-36 V"', "-36 V"),
    ],
)
def test_what_the_node_is_taken_to_hold(node: str, held: str) -> None:
    assert held in notes(_bias('feed = "47k 2 W"', node))["filter.bias.load"].why


def test_from_a_tap_or_end_b_the_peak_is_its_own() -> None:
    windings = (
        '[windings]\nht = "300-0-320 V off load at 240 V, 36 + 38 ohm, tap bias 60 V"\n'
        'heaters = "6.9 V off load at 240 V, 5 A"'
    )
    from_a = _ohms(_bias('feed = "4k7 2 W"', 'was = "-42 V"', windings=windings))
    from_b = _ohms(_bias('feed = "4k7 2 W"\nend = "b"', 'was = "-42 V"', windings=windings))
    from_tap = _ohms(_bias('feed = "4k7 2 W"\nend = "bias"', 'was = "-42 V"', windings=windings))
    # The lower the source, the less the load may take.
    assert from_b < from_a < from_tap


def test_without_a_feed_the_load_is_the_usual_one() -> None:
    supply = _bias("", 'was = "-42 V"')
    assert _ohms(supply) == guesses.BIAS_LOAD.value
    assert notes(supply)["filter.bias.load"].kind == "guess"


def test_more_volts_than_the_winding_gives_leave_the_usual_load() -> None:
    supply = _bias('feed = "47k 2 W"\nend = "low"', 'was = "-42 V"', windings=(
        '[windings]\nht = "300-0-300 V off load at 240 V, 36 + 38 ohm, tap low 20 V"\n'
        'heaters = "6.9 V off load at 240 V, 5 A"'
    ))  # fmt: skip
    assert _ohms(supply) == guesses.BIAS_LOAD.value


def test_a_node_of_the_positive_rail_has_no_bias_load() -> None:
    supply = filled()
    assert all(node.bias_load_ohms is None for node in supply.nodes.values())
