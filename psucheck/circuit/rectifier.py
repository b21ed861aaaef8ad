"""Rectifier circuits: from a winding's ends to a DC output, of either polarity."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from psucheck.circuit.filter import add_string
from psucheck.circuit.network import GROUND, Capacitor, Diode, RectifierLayout, StringLayout, ValveDiode
from psucheck.circuit.transformer import Ends
from psucheck.circuit.wiring import Wiring
from psucheck.supply.fill_warm_up import rectifier_key
from psucheck.supply.filled import FilledDevice
from psucheck.supply.leads import PLACES, halves
from psucheck.supply.model import Rectifier, Resistor


class RectifierWiring:
    """One rectifier: wires its arms and knows its output and the joint of its capacitors."""

    def __init__(self, wiring: Wiring, name: str, ends: Ends, scale_volts: float) -> None:
        self.wiring = wiring
        self.name = name
        self.rectifier: Rectifier = wiring.supply.rectifiers[name]
        self.device: FilledDevice = wiring.filled.devices[name]
        self.ends = ends
        self.scale_volts = scale_volts
        self.output = wiring.node()
        self.middle: str | None = None
        self.arms: list[str] = []
        self.arm_ends: list[tuple[str, str]] = []
        self.to_output: list[str] = []

    def wire(self) -> None:
        """Add the arms and note them in the layout."""
        circuits: dict[str, Callable[[], None]] = {
            "centre-tapped": self._centre_tapped,
            "bridge": self._bridge,
            "half-wave": self._half_wave,
            "full-wave doubler": self._full_wave_doubler,
            "cascade doubler": self._cascade_doubler,
        }
        circuits[self.rectifier.circuit]()
        self.wiring.layout.rectifiers[self.name] = RectifierLayout(
            arms=tuple(self.arms),
            outputs=tuple(self.to_output),
            source_ohms=self._source_ohms(),
            devices_in_series=self.device.in_series,
            devices_in_parallel=self.device.in_parallel,
            ends=tuple(self.arm_ends),
        )

    # --- circuits -----------------------------------------------------------------------------------------

    def _centre_tapped(self) -> None:
        for end, half in ((self._lead("a"), "a"), (self._lead("b"), "b")):
            anode, passes = self._anode(end), self._passes(half)
            self._arm(anode, self.output, f"{self.name} arm {half}", to_output=True, passes=passes)

    def _bridge(self) -> None:
        for end, half in ((self._lead("a"), "a"), (self._lead("b"), "b")):
            lead, passes = self._anode(end), self._passes(half)
            says = f"{self.name} arm {half}"
            self._arm(lead, self.output, f"{says} to output", to_output=True, passes=passes)
            self._arm(GROUND, lead, f"{says} from chassis", passes=passes)

    def _half_wave(self) -> None:
        lead = self._anode(self._lead(self.rectifier.end or "a"))
        if isinstance(self.rectifier.feed, Resistor):
            fed = self.wiring.node()
            feed = self.wiring.resistor(lead, fed, self.rectifier.feed.value, f"{self.name} feed")
            self.wiring.note_resistor(f"{self.name} feed", feed)
            lead = fed
        elif self.rectifier.feed is not None:
            lead = self._feed_capacitor(lead)
        self._arm(lead, self.output, f"{self.name} arm", to_output=True)

    def _feed_capacitor(self, lead: str) -> str:
        """A capacitor in the lead, and the clamp diode that recharges it."""
        fed = self.wiring.node()
        filled = self.wiring.filled.feeds[self.name]
        unit = self.wiring.add(
            Capacitor, "c", lead, fed, f"{self.name} feed", farads=filled.farads, scale_volts=self.scale_volts
        )
        self.wiring.layout.capacitors[f"{self.name} feed"] = StringLayout((unit,), lead, fed)
        clamp = self.wiring.filled.clamps.get(self.name, self.device)
        sign = self._ordered(GROUND, fed)
        self._add_device(clamp, *sign, f"{self.name} clamp")
        return fed

    def _full_wave_doubler(self) -> None:
        lead, joint = self._anode(self._lead("a")), self.ends.b
        self.middle = joint
        self._arm(lead, self.output, f"{self.name} upper arm", to_output=True)
        self._arm(GROUND, lead, f"{self.name} lower arm")
        upper, lower = self.wiring.filled.pairs[self.name]
        half = self.scale_volts / 2
        add_string(
            self.wiring,
            f"rectifiers.{self.name} upper",
            upper,
            self.output,
            joint,
            half,
            negative=self.negative,
        )
        add_string(
            self.wiring, f"rectifiers.{self.name} lower", lower, joint, GROUND, half, negative=self.negative
        )

    def _cascade_doubler(self) -> None:
        lead, pumped = self._anode(self._lead("a")), self.wiring.node()
        upper, lower = self.wiring.filled.pairs[self.name]
        half = self.scale_volts / 2
        add_string(
            self.wiring, f"rectifiers.{self.name} upper", upper, pumped, lead, half, negative=self.negative
        )
        self._arm(GROUND, pumped, f"{self.name} clamping arm")
        self._arm(pumped, self.output, f"{self.name} output arm", to_output=True)
        add_string(
            self.wiring,
            f"rectifiers.{self.name} lower",
            lower,
            self.output,
            GROUND,
            2 * half,
            negative=self.negative,
        )

    @property
    def negative(self) -> bool:
        """Whether the output is negative against chassis."""
        return self.rectifier.polarity == "negative"

    # --- pieces -------------------------------------------------------------------------------------------

    def _lead(self, end: str) -> str:
        """What comes from a winding's end or tap."""
        if end in self.ends.taps:
            return self.ends.taps[end]
        return self.ends.b if end == "b" else self.ends.a

    def _anode(self, lead: str) -> str:
        """The lead through its anode resistor, if there is one."""
        resistor = self.rectifier.anode_resistors
        if resistor is None:
            return lead
        anode = self.wiring.node()
        element = self.wiring.resistor(lead, anode, resistor.value, f"{self.name} anode resistor")
        self.wiring.note_resistor(f"{self.name} anode resistor", element)
        return anode

    def _ordered(self, start: str, end: str) -> tuple[str, str]:
        """Anode and cathode of a device that leads from ``start`` to ``end`` in a positive rectifier."""
        return (start, end) if self.rectifier.polarity == "positive" else (end, start)

    def _passes(self, half: str) -> float:
        """What an arm of that half passes, as a share of what its type does."""
        return 1.0 - self.device.unequal if half == "b" else 1.0

    def _arm(self, start: str, end: str, says: str, *, to_output: bool = False, passes: float = 1.0) -> None:
        ends = self._ordered(start, end)
        element = self._add_device(self.device, *ends, says, passes)
        self.arms.append(element)
        self.arm_ends.append(ends)
        if to_output:
            self.to_output.append(element)

    def _add_device(
        self, device: FilledDevice, anode: str, cathode: str, says: str, passes: float = 1.0
    ) -> str:
        """A device of an arm with what backs it; the element that is returned carries the arm's current."""
        if device.backup is not None:
            # One of its own for each anode: valves in parallel have as many diodes.
            own = replace(device.backup, in_parallel=device.backup.in_parallel * device.in_parallel)
            behind = self.wiring.node()
            self._add_device(own, anode, behind, f"{says}, the silicon in series")
            anode = behind
        series, parallel = device.in_series, device.in_parallel
        if device.kind == "valve":
            # n in series drop n times the volts at the same current; m in parallel pass m times the current.
            perveance = passes * device.perveance * parallel / series**1.5
            # A cathode that is not yet hot passes less at the same volts.
            perveance *= self.wiring.emission(rectifier_key(self.name))
            return self.wiring.add(ValveDiode, "d", anode, cathode, says, perveance=perveance)
        return self.wiring.add(
            Diode,
            "d",
            anode,
            cathode,
            says,
            saturation_amps=device.saturation_amps * parallel,
            emission=device.emission * series,
            series_ohms=device.series_ohms * series / parallel,
        )

    def _source_ohms(self) -> float:
        """Least resistance in series with a conducting half: copper, reflected primary and mains, additions.

        Rs = Rsec + Rpri n^2, n the off-load ratio of the part of the winding that conducts (Valve Wizard,
        "Power supplies", psu page); what stands in the mains lead is reflected alike, what stands in the
        winding's leads that the half passes is added.
        """
        filled, name = self.wiring.filled, self.rectifier.winding
        primary = filled.primary_ohms + filled.mains.ohms + filled.at_place("mains")
        added = self.rectifier.anode_resistors.value if self.rectifier.anode_resistors else 0.0
        if self.rectifier.circuit == "bridge":
            added *= 2  # the arm at the other end conducts as well
        return added + min(
            ohms
            + primary * ratio**2
            + sum(filled.at_place(f"{kind} {name}") for lead in half for kind in PLACES[lead])
            for (ratio, ohms), half in zip(
                self._sections(), halves(self.wiring.supply, self.name), strict=True
            )
        )

    def _sections(self) -> list[tuple[float, float]]:
        """Ratio and copper [ohm] of the part of the winding that conducts, for each half."""
        winding, end = self.wiring.filled.windings[self.rectifier.winding], self.rectifier.end
        if self.rectifier.circuit == "centre-tapped":
            return list(zip(winding.ratios, winding.ohms, strict=True))
        if self.rectifier.circuit != "half-wave":
            return [(sum(winding.ratios), sum(winding.ohms))]
        tap = winding.taps.get(end or "")
        if tap is not None:
            return [(tap.ratio, tap.ohms)]
        section = -1 if end == "b" else 0
        return [(winding.ratios[section], winding.ohms[section])]
