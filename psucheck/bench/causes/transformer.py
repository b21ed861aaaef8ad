"""The mains transformer and the heaters: shorted turns, the wrong tap, joints, the heaters' middle."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from psucheck.bench.amplifier import Amplifier
from psucheck.bench.causes.cause import VALVES_IN, Cause, Size
from psucheck.bench.causes.surgery import scale_windings
from psucheck.circuit.network import Resistor, Section
from psucheck.supply.filled import FilledSupply

TURNS = Size("{:.2%} of the winding's turns", (0.0004, 0.0015, 0.006, 0.025))
TAP = Size("{:.0%} of the volts that it should give", (0.88, 0.94, 1.06, 1.12), logarithmic=False)
HEATER_JOINT = Size("{}", (0.04, 0.12, 0.35), unit="ohm")


def transformer_causes(filled: FilledSupply) -> Iterator[Cause]:
    """What can be wrong with the transformer, and with the heaters that hang on it."""
    high = [
        name
        for name, rectifier in filled.supply.rectifiers.items()
        if rectifier.polarity == "positive" and sum(filled.supply.windings[rectifier.winding].volts) > 60.0
    ]
    if high:
        winding = filled.supply.rectifiers[high[0]].winding
        yield Cause(
            "shorted turns", "transformer", "the mains transformer has shorted turns", 2.0,
            lambda amp, size: _shorted_turns(amp, winding, size), TURNS,
        )  # fmt: skip
    yield Cause(
        "wrong tap", "transformer", "the mains tap does not fit the wall", 1.0,
        lambda amp, size: scale_windings(amp, size), TAP, scales=True,
    )  # fmt: skip
    for heaters in dict.fromkeys(load.winding for load in filled.heaters if load.group == "valves"):
        yield Cause(
            "heater joint", heaters, f"a poor joint in the {heaters} wiring", 1.5,
            lambda amp, size, heaters=heaters: _heater_joint(amp, heaters, size), HEATER_JOINT, VALVES_IN,
        )  # fmt: skip
        if heaters in {r.winding for r in filled.supply.rectifiers.values()}:
            continue
        for end, shares in (("a", (1.0, 0.0)), ("b", (0.0, 1.0))):
            yield Cause(
                "heater middle open", f"{heaters} {end}",
                f"the {heaters} centre tap, its 100 ohm pair or hum pot is open, "
                f"end {'b' if end == 'a' else 'a'} held to chassis",
                0.75, lambda amp, size, heaters=heaters, shares=shares: _middle(amp, heaters, shares),
            )  # fmt: skip


def _shorted_turns(amp: Amplifier, winding: str, share: float) -> Amplifier:
    """A further section of so many turns, shorted through its own copper.

    Its copper's share of the winding's ohms is that of its turns.
    """
    sections = [amp.element(name) for name in amp.network.layout.windings[winding]]
    ratio = sum(each.ratio for each in sections if isinstance(each, Section))
    ohms = sum(
        each.ohms
        for each in amp.network.elements
        if isinstance(each, Resistor) and each.says.startswith(f"copper, {winding} winding")
    )
    return amp.with_elements(
        {},
        (
            Section("sturns", "nturns", "0", "shorted turns", ratio * share),
            Resistor("rturns", "nturns", "0", "copper of the shorted turns", ohms * share),
        ),
    )


def _heater_joint(amp: Amplifier, winding: str, ohms: float) -> Amplifier:
    """Resistance between the winding and the heaters' pins."""
    plus, minus = amp.heater_pins(winding)
    node = f"njoint{sum(each.name.startswith('rjoint') for each in amp.network.elements)}"
    changed = {
        each.name: replace(each, plus=node)
        for each in amp.network.elements
        if each.says.startswith("heaters of the valves on") and (each.plus, each.minus) == (plus, minus)
    }
    if not changed:
        return amp
    return amp.with_elements(changed, (Resistor(f"rjoint{node}", plus, node, f"joint in {winding}", ohms),))


def _middle(amp: Amplifier, winding: str, shares: tuple[float, float]) -> Amplifier:
    return replace(amp, heater_halves={**(amp.heater_halves or {}), winding: shares})
