"""Rectifiers and the winding before them: arms open and shorted, weak valves, open halves, the whole gone."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from psucheck.bench.amplifier import Amplifier
from psucheck.bench.causes.cause import Cause, Size
from psucheck.bench.causes.fuses import fuses_before
from psucheck.bench.causes.surgery import add_ohms, open_resistors
from psucheck.circuit.network import Resistor, ValveDiode
from psucheck.circuit.wiring import OPEN_OHMS
from psucheck.supply.filled import FilledSupply

WEAK = Size("{:.0%} of its emission left", (0.1, 0.2, 0.38, 0.7), mild="high")
JOINT = Size("{} more", (20.0, 60.0, 180.0, 500.0), unit="ohm")
_SHORT_OHMS = 1.0
_ARMS = {2: ("a", "b"), 4: ("a to the output", "a from chassis", "b to the output", "b from chassis")}


def rectifier_causes(filled: FilledSupply) -> Iterator[Cause]:
    """What can be wrong between the windings and the first capacitor."""
    for name, rectifier in filled.supply.rectifiers.items():
        if rectifier.polarity == "negative":
            continue
        valve = filled.devices[name].kind == "valve"
        arms = {"centre-tapped": 2, "bridge": 4, "half-wave": 1}.get(rectifier.circuit, 2)
        blows = fuses_before(filled, None, name)
        for arm in range(arms):
            where = _ARMS.get(arms, ("",))[arm]
            if rectifier.circuit == "bridge":
                where = ("a to +", "a to chassis", "b to +", "b to chassis")[arm]
            at = f"{name} arm {where}".strip()
            part = (
                f"anode {where} of the {name} rectifier valve" if valve else f"{name} diode {where}".strip()
            )
            if arms > 1 or rectifier.circuit == "half-wave":
                yield Cause(
                    "rectifier arm open", at, f"the {part} is open" if not valve else f"the {part} is dead",
                    2.0 / arms, lambda amp, size, name=name, arm=arm: _arm_open(amp, name, arm),
                )  # fmt: skip
            says = f"the {part} is shorted"
            yield Cause(
                "rectifier arm shorted", at, says, (1.0 if valve else 2.0) / arms,
                lambda amp, size, name=name, arm=arm: _arm_shorted(amp, name, arm), blows=blows,
            )  # fmt: skip
        if valve:
            yield Cause(
                "rectifier valve weak", name, f"the {name} rectifier valve is weak", 8.0,
                lambda amp, size, name=name: _weak(amp, name, size), WEAK,
            )  # fmt: skip
            yield Cause(
                "rectifier valve dead", name,
                f"the {name} rectifier valve does not conduct at all: heater, cathode or its pin", 2.0,
                lambda amp, size, name=name: _weak(amp, name, 0.0),
            )  # fmt: skip
        yield from _of_winding(filled, name)


def _of_winding(filled: FilledSupply, name: str) -> Iterator[Cause]:
    """The winding of a rectifier: a half open, its centre tap's lead off, more ohms than it should have."""
    rectifier = filled.supply.rectifiers[name]
    winding = rectifier.winding
    if rectifier.circuit == "centre-tapped":
        for half in (0, 1):
            yield Cause(
                "half winding open", f"{winding} {'ab'[half]}",
                f"half {'ab'[half]} of the {winding} winding is open", 0.5,
                lambda amp, size, half=half: _half_open(amp, winding, half),
            )  # fmt: skip
        yield Cause(
            "centre tap off", winding, f"the lead of the {winding} winding's centre tap is off", 0.8,
            lambda amp, size: _centre_tap(amp, winding, OPEN_OHMS),
        )  # fmt: skip
        yield Cause(
            "poor joint", f"{winding} centre tap",
            f"a poor joint in the {winding} winding's centre tap lead", 1.0,
            lambda amp, size: _centre_tap(amp, winding, size), JOINT,
        )  # fmt: skip
        return
    yield Cause(
        "winding open", winding, f"the {winding} winding or a lead of it is open", 0.8,
        lambda amp, size: _half_open(amp, winding, 0),
    )  # fmt: skip
    yield Cause(
        "poor joint", f"{winding} winding", f"a poor joint in a lead of the {winding} winding", 1.0,
        lambda amp, size: _winding_joint(amp, winding, size), JOINT,
    )  # fmt: skip


def _copper(amp: Amplifier, winding: str, half: int) -> Resistor:
    """The outermost piece of copper of a winding's half."""
    node = amp.network.layout.winding_ends[winding][half][0 if half == 0 else 1]
    for each in amp.network.elements:
        if isinstance(each, Resistor) and each.minus == node and each.says.startswith("copper"):
            return each
    raise KeyError(winding)


def _half_open(amp: Amplifier, winding: str, half: int) -> Amplifier:
    copper = _copper(amp, winding, half)
    opened = open_resistors(amp, (copper.name,))
    # A meter across the open half keeps its end from floating at whatever stray current makes of it.
    ends = amp.network.layout.winding_ends[winding][half]
    return add_ohms(opened, *ends, 1e6, "what a meter shows across the open half")


def _winding_joint(amp: Amplifier, winding: str, ohms: float) -> Amplifier:
    copper = _copper(amp, winding, 0)
    return amp.with_elements({copper.name: replace(copper, ohms=copper.ohms + ohms)})


def _centre_tap(amp: Amplifier, winding: str, ohms: float) -> Amplifier:
    says = f"{winding} centre tap to chassis"
    for each in amp.network.elements:
        if isinstance(each, Resistor) and each.says == says:
            return amp.with_elements({each.name: replace(each, ohms=ohms)})
    return amp


def _arm_open(amp: Amplifier, name: str, arm: int) -> Amplifier:
    """An arm without its device; what measured its current stays."""
    layout = amp.network.layout.rectifiers[name]
    element = amp.element(layout.arms[arm])
    return amp.with_elements(
        {
            element.name: Resistor(
                element.name, element.plus, element.minus, f"{element.says}, open", OPEN_OHMS
            )
        }
    )


def _arm_shorted(amp: Amplifier, name: str, arm: int) -> Amplifier:
    plus, minus = amp.network.layout.rectifiers[name].ends[arm]
    return add_ohms(amp, plus, minus, _SHORT_OHMS, f"{name} arm shorted")


def _weak(amp: Amplifier, name: str, share: float) -> Amplifier:
    """A valve with a share of its emission, taken as a share of its perveance; with none of it as open."""
    changed = {}
    for arm in amp.network.layout.rectifiers[name].arms:
        element = amp.element(arm)
        if not share:
            amp = _arm_open(amp, name, amp.network.layout.rectifiers[name].arms.index(arm))
        elif isinstance(element, ValveDiode):
            changed[arm] = replace(element, perveance=element.perveance * share)
    return amp.with_elements(changed)
