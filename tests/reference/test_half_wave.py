"""Half-wave rectifiers of either polarity, and bias from the HT winding.

Reference: one capacitor, the loop of winding and diode solved for its current at every instant.
"""

from __future__ import annotations

import pytest

from tests.accuracy import Accuracy
from tests.reference.comparing import DIODE, HERTZ, LEAKAGE, check_arm, check_node, crest, diode, idle, supply
from tests.reference.shooting import Array, settled

TEXT = """
[windings]
ht = "100 V off load at 230 V, 60 ohm"
[rectifiers.rail]
circuit = "half-wave"
polarity = "{polarity}"
winding = "ht"
{feed}
{device}
[filter.node]
from = "rectifiers.rail"
bleeder = "{load}"
[filter.node.capacitor]
value = "22 uF"
voltage = "200 V"
esr = "0 ohm"
"""


@pytest.mark.parametrize("polarity", ["positive", "negative"])
@pytest.mark.parametrize(("feed", "feed_ohms", "load"), [("", 0.0, 3000.0), ('feed = "10k 2 W"', 10e3, 15e3)])
def test_half_wave(polarity: str, feed: str, feed_ohms: float, load: float, accuracy: Accuracy) -> None:
    filled = supply(TEXT.format(polarity=polarity, feed=feed, device=DIODE, load=f"{load:g} ohm"))
    farads = 22e-6
    drain = 1 / load + LEAKAGE * farads
    sign = 1.0 if polarity == "positive" else -1.0
    amps = diode(filled, "rail", 60.0 + feed_ohms)

    def arm(t: float, x: Array) -> float:
        return amps(sign * crest(100.0, t) - x[0])

    def flow(t: float, x: Array) -> list[float]:
        return [(arm(t, x) - drain * x[0]) / farads]

    cycle = settled(flow, [100.0], HERTZ)
    figures = idle(filled)
    rows = accuracy, f"half-wave, {polarity}{', bias through 10k' if feed else ''}"
    check_node(figures.nodes["node"], cycle, sign * cycle.states[0], rows=rows)
    check_arm(figures.rectifiers["rail"], cycle, cycle.each(arm), rows)
    # The winding's own resistor drops nothing while the diode blocks: the whole of it stands over the diode.
    reverse = float((cycle.states[0] - sign * cycle.each(lambda t, _: crest(100.0, t))).max())
    assert figures.rectifiers["rail"].reverse_voltage == pytest.approx(reverse, rel=3e-3)


CAPACITIVE = """
[windings]
ht = "200 V off load at 230 V, 80 ohm"
[rectifiers.rail]
circuit = "half-wave"
polarity = "negative"
winding = "ht"
feed = {{ value = "220 nF", voltage = "1000 V", esr = "0 ohm" }}
{clamp}
{device}
[filter.node]
from = "rectifiers.rail"
bleeder = "12k 1 W"
[filter.node.capacitor]
value = "4.7 uF"
voltage = "100 V"
esr = "0 ohm"
"""


def test_bias_through_a_capacitor_with_a_clamp(accuracy: Accuracy) -> None:
    """The feed capacitor is charged by the clamp on one half wave and gives its charge to the bias on the
    other.
    """
    filled = supply(CAPACITIVE.format(device=DIODE, clamp=DIODE.replace("device", "clamp")))
    feed, farads = 220e-9, 4.7e-6
    drain = 1 / 12e3 + LEAKAGE * farads
    amps = diode(filled, "rail", 80.0)

    def currents(t: float, x: Array) -> tuple[float, float]:
        """Through the clamp and through the arm; x: feed capacitor, bias (positive as a size)."""
        fed = crest(200.0, t) - x[0]
        return amps(fed), amps(-x[1] - fed)

    def flow(t: float, x: Array) -> list[float]:
        clamp, arm = currents(t, x)
        leak = LEAKAGE * feed * x[0]
        return [(clamp - arm - leak) / feed, (arm - drain * x[1]) / farads]

    cycle = settled(flow, [250.0, 35.0], HERTZ)
    figures = idle(filled)
    rows = accuracy, "bias through a capacitor, with a clamp"
    check_node(figures.nodes["node"], cycle, -cycle.states[1], "dc-small", rows)
    check_arm(figures.rectifiers["rail"], cycle, cycle.each(lambda t, x: currents(t, x)[1]))
