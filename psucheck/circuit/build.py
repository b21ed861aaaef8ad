"""Supply + condition -> network."""

from __future__ import annotations

import math
from collections.abc import Iterator
from graphlib import TopologicalSorter

from psucheck.circuit.condition import Condition, Readings
from psucheck.circuit.filter import add_drains, add_feed, add_string
from psucheck.circuit.loads import add_current, add_output
from psucheck.circuit.network import GROUND, Network
from psucheck.circuit.rectifier import RectifierWiring
from psucheck.circuit.transformer import Ends, add_heaters, add_mains, add_winding, lead_out
from psucheck.circuit.wiring import CONTACT_OHMS, Wiring
from psucheck.supply.fill_warm_up import VALVES, rectifier_key
from psucheck.supply.filled import FilledNode, FilledSupply
from psucheck.supply.leads import PLACES, branches_off, halves, outwards
from psucheck.supply.model import Resistor
from psucheck.supply.notation import place as read_place
from psucheck.supply.topology import choke_input, is_negative, rectifier_of, root_of, standby_switches

CREST = 90.0
"""Phase at which a steady cycle is started: there the rectifier conducts, and the search behaves best."""

_LOADED, _UNLOADED = 0.88, 0.97
"""First guess of a rail over its winding's peak, drawing and not; just below the peak for the latter."""
_CHOKE_INPUT = 0.6
"""The same behind a choke, drawing: the mean of a rectified sine, 2/pi of its crest, less some drop."""


def build_network(
    filled: FilledSupply, condition: Condition, readings: Readings, phase_degrees: float = CREST
) -> Network:
    """The network of ``filled`` in ``condition``.

    Parameters
    ----------
    readings
        Where the loads were read and where the bias pot stands.
    phase_degrees
        Phase of the mains sine at the start.
    """
    return _Builder(filled, condition, readings, phase_degrees).build()


class _Builder:
    def __init__(
        self, filled: FilledSupply, condition: Condition, readings: Readings, phase_degrees: float
    ) -> None:
        self.filled = filled
        self.condition = condition
        self.readings = readings
        self.phase = phase_degrees
        self.wiring = Wiring(filled, condition)
        self.bare: dict[str, Ends] = {}
        """The windings' ends as they come out of the transformer."""
        self.ends: dict[str, Ends] = {}
        """The same behind what stands in their leads."""
        self.rectifiers: dict[str, RectifierWiring] = {}
        self.outlets: dict[str, str] = {}
        self.middles: dict[str, str] = {}

    def build(self) -> Network:
        add_mains(self.wiring, self.phase)
        for name in self.filled.windings:
            self.bare[name] = add_winding(self.wiring, name)
            self.ends[name] = lead_out(self.wiring, name, self.bare[name])
        add_heaters(self.wiring, self.ends)
        for name in self.filled.windings:
            self._reference(name)
        for name, rectifier in self.filled.supply.rectifiers.items():
            ends = self.bare if branches_off(self.filled.supply, name) else self.ends
            wired = RectifierWiring(self.wiring, name, ends[rectifier.winding], self._peak(name))
            wired.wire()
            self.rectifiers[name] = wired
        for name in self._order():
            self._node(name)
        self._join_centre_taps()
        self._elevate()
        for name, load in self.filled.currents.items():
            add_current(self.wiring, name, load, self.readings)
        for name, output in self.filled.outputs.items():
            add_output(self.wiring, name, output, self.readings)
        self._note_bled()
        return self.wiring.network

    def _order(self) -> list[str]:
        """Nodes so that each comes after the one that feeds it."""
        graph = {
            name: {node.source.name} if node.source.kind in ("node", "node middle") else set()
            for name, node in self.filled.nodes.items()
        }
        return list(TopologicalSorter(graph).static_order())

    def _reference(self, name: str) -> None:
        """Tie a winding to the chassis where its circuit does.

        A centre-tapped rectifier returns through the centre tap, a half-wave one too or through the other
        end, unless a bridge stands on the same winding, whose lower arms then are its return. Heaters are
        tied at their centre tap or end b, where only the reading to chassis would tell the difference.
        """
        if name in self.filled.supply.elevation and self.filled.supply.elevation[name].node is not None:
            return
        on_it = [r for r in self.filled.supply.rectifiers.values() if r.winding == name]
        circuits = {rectifier.circuit for rectifier in on_it}
        if "centre-tapped" in circuits:
            self.wiring.resistor(
                self._centre_tap(name), GROUND, CONTACT_OHMS, f"{name} centre tap to chassis"
            )
        elif not circuits & {"bridge", "full-wave doubler"}:
            if not self._is_halved(name):
                end = self.ends[name].a if any(r.end == "b" for r in on_it) else self.ends[name].b
            else:
                whole = "cascade doubler" in circuits
                end = self.ends[name].b if whole else self._centre_tap(name)
            self.wiring.resistor(end, GROUND, CONTACT_OHMS, f"{name} winding to chassis")

    def _is_halved(self, name: str) -> bool:
        return len(self.filled.windings[name].ratios) == 2

    def _centre_tap(self, name: str) -> str:
        """The lead of a winding's centre tap, through what stands in it."""
        bare = self.bare[name]
        return self.wiring.through(
            "centre tap",
            name,
            bare.inner,
            "centre tap lead",
            dc=False,
            volts=(bare.a, bare.inner),
            outwards=outwards(self.filled.supply, name, "centre tap"),
        )

    def _peak(self, rectifier_name: str) -> float:
        """Crest of what a rectifier can charge its output to, off load [V], and so the rail's scale."""
        rectifier = self.filled.supply.rectifiers[rectifier_name]
        winding = self.filled.windings[rectifier.winding]
        if rectifier.circuit in ("centre-tapped", "half-wave"):
            tap = winding.taps.get(rectifier.end or "")
            ratio = tap.ratio if tap else max(winding.ratios)
        else:
            ratio = sum(winding.ratios)
        doubling = 2.0 if rectifier.circuit.endswith("doubler") else 1.0
        return doubling * ratio * math.sqrt(2) * max(self.condition.volts, 1.0)

    def _guess(self, name: str) -> tuple[float, float]:
        """Scale and first guess of a node's voltage."""
        node = self.filled.nodes[name]
        root = root_of(self.filled.supply, name)
        if root.kind == "place":
            if self._return_opened(root.name):
                # All that the valves draw comes back through the node's own capacitor.
                peak = self._peak(rectifier_of(self.filled.supply, name))
                return peak, -_LOADED * peak
            volts = self._back_bias(root.name)
            return max(volts, 1.0), 0.0 if self._unloaded else -volts
        rectifier = rectifier_of(self.filled.supply, name)
        sign = -1.0 if self.filled.supply.rectifiers[rectifier].polarity == "negative" else 1.0
        peak = self._peak(rectifier)
        description = self.filled.supply.filter[name]
        if node.bias_load_ohms is not None and self.filled.supply.rectifiers[rectifier].feed is not None:
            held = node.was or (max(description.range, key=abs) if description.range else description.set)
            if held:
                return abs(held), held * self.condition.volts / (
                    self.filled.mains.wall or self.filled.mains.nominal
                )
        if self._cut_off(name) or not self.wiring.emission(rectifier_key(rectifier)):
            return peak, 0.0
        drawing = _CHOKE_INPUT if choke_input(self.filled.supply, rectifier) else _LOADED
        loaded = peak * (_UNLOADED if self._unloaded else drawing)
        zeners = [above.zener.volts for above in self._path(name) if above.zener is not None]
        return peak, sign * min(max(loaded - self._zener_volts(name, rectifier), 0.0), *zeners, peak)

    def _path(self, name: str) -> Iterator[FilledNode]:
        """The node and those that feed it, one from another."""
        at: str | None = name
        while at is not None:
            node = self.filled.nodes[at]
            yield node
            at = node.source.name if node.source.kind in ("node", "node middle") else None

    def _zener_volts(self, name: str, rectifier: str) -> float:
        """Volts of the zeners between a rectifier's winding and a node."""
        winding = self.filled.supply.rectifiers[rectifier].winding
        volts = min(
            sum(self.wiring.zener_volts(kind, winding) for lead in half for kind in PLACES[lead])
            for half in halves(self.filled.supply, rectifier)
        )
        places = []
        at: str | None = name
        while at is not None:
            source = self.filled.nodes[at].source
            places.append(("before", at))
            if source.kind == "node":
                places.append(("after", source.name))
            at = source.name if source.kind in ("node", "node middle") else None
        return volts + sum(self.wiring.zener_volts(*place) for place in places)

    @property
    def _unloaded(self) -> bool:
        return self.condition.drawing == "nothing" or self.wiring.emission(VALVES) == 0.0

    def _return_opened(self, place: str) -> bool:
        """Whether an open standby switch stands beside the resistor of a back bias."""
        return self.condition.standby_open and any(
            read_place(switch.place) == read_place(place)
            for switch in standby_switches(self.filled.supply).values()
        )

    def _back_bias(self, place: str) -> float:
        """About what stands over the resistor of a back bias with the valves drawing [V]."""
        series = self.filled.supply.series[place]
        assert isinstance(series, Resistor)
        returning = [n for n in self.filled.nodes if not is_negative(self.filled.supply, n)]
        amps = sum(load.amps for load in self.filled.currents.values() if load.node in returning)
        amps += sum(o.anode_amps + o.screen_amps for o in self.filled.outputs.values())
        return amps * series.value

    def _cut_off(self, name: str) -> bool:
        """Whether an open standby switch without a bypass leaves nothing to charge a node."""
        if not self.condition.standby_open:
            return False
        opening = {
            (read["kind"], read.get("name", ""))
            for switch in standby_switches(self.filled.supply).values()
            if switch.bypass is None
            for read in (read_place(switch.place),)
        }
        rectifier = rectifier_of(self.filled.supply, name)
        winding = self.filled.supply.rectifiers[rectifier].winding
        if all(
            any((kind, winding) in opening for lead in half for kind in PLACES[lead])
            for half in halves(self.filled.supply, rectifier)
        ):
            return True
        at: str | None = name
        while at is not None:
            source = self.filled.nodes[at].source
            if ("before", at) in opening or (source.kind == "node" and ("after", source.name) in opening):
                return True
            at = source.name if source.kind == "node" else None
        return False

    def _node(self, name: str) -> None:
        node = self.filled.nodes[name]
        scale, start = self._guess(name)
        negative = is_negative(self.filled.supply, name)
        at = add_feed(self.wiring, name, node, self._source(name), self._amps(name), negative=negative)
        if node.capacitor is not None:
            joints = add_string(
                self.wiring, name, node.capacitor, at, GROUND, scale, start, negative=negative
            )
            if len(joints) % 2:
                self.middles[name] = joints[len(joints) // 2]
        add_drains(self.wiring, name, node, at, negative=negative)
        self.outlets[name] = self.wiring.through(
            "after", name, at, f"after {name}", dc=True, outwards=not negative
        )

    def _source(self, name: str) -> str:
        source = self.filled.nodes[name].source
        if source.kind == "node":
            return self.outlets[source.name]
        if source.kind == "node middle":
            return self.middles[source.name]
        if source.kind == "place":
            return self.wiring.sides[source.name]
        rectifier = self.rectifiers[source.name]
        if source.kind == "rectifier middle":
            assert rectifier.middle is not None  # the reader lets only a doubler's joint pass
            return rectifier.middle
        return rectifier.output

    def _amps(self, name: str) -> float:
        """First guess of the current through what leads to a node."""
        if self._unloaded or self.filled.nodes[name].choke is None:
            return 0.0
        branch = {name}
        for other in self._order():
            source = self.filled.nodes[other].source
            if source.kind == "node" and source.name in branch:
                branch.add(other)
        amps = sum(load.amps for load in self.filled.currents.values() if load.node in branch)
        for output in self.filled.outputs.values():
            amps += output.anode_amps if output.anodes in branch else 0.0
            amps += output.screen_amps if output.screens in branch else 0.0
        return amps

    def _join_centre_taps(self) -> None:
        """A bridge whose winding's centre tap is joined to the middle of a node's capacitors."""
        for name, rectifier in self.filled.supply.rectifiers.items():
            if rectifier.circuit == "bridge" and rectifier.centre_tap is not None:
                node = rectifier.centre_tap.removesuffix(" middle")
                tapped = self._centre_tap(rectifier.winding)
                self.wiring.resistor(
                    tapped, self.middles[node], CONTACT_OHMS, f"{name} centre tap to the joint"
                )

    def _elevate(self) -> None:
        """Heater windings on a divider; where volts are given only the reading to chassis differs."""
        for winding, elevation in self.filled.supply.elevation.items():
            if elevation.volts is not None:
                self.wiring.layout.elevations[winding] = elevation.volts
            if elevation.node is None or elevation.divider is None:
                continue
            tap, at = self.wiring.node(), self.wiring.layout.nodes[elevation.node]
            for part, resistor, (plus, minus) in zip(
                ("upper", "lower"), elevation.divider, ((at, tap), (tap, GROUND)), strict=True
            ):
                says = f"{winding} divider {part}"
                self.wiring.note_resistor(says, self.wiring.resistor(plus, minus, resistor.value, says))
            tied = self._centre_tap(winding) if self._is_halved(winding) else self.ends[winding].b
            self.wiring.resistor(tied, tap, CONTACT_OHMS, f"{winding} winding to its divider")
            self.wiring.layout.elevations[winding] = tap

    def _note_bled(self) -> None:
        """Which nodes are bled, and whether all are drawn from.

        A node is bled if a resistor of the description drains any node that it is joined to.
        """
        drained = set()
        for name, node in self.filled.nodes.items():
            balanced = node.capacitor is not None and node.capacitor.balancing_ohms is not None
            if node.bleeder_ohms or balanced or node.bias_load_ohms or self._on_back_bias(name):
                drained.add(self._joined_to(name))
        for name, (upper, lower) in self.filled.pairs.items():
            if upper.balancing_ohms is not None and lower.balancing_ohms is not None:
                drained.add(name)
        for elevation in self.filled.supply.elevation.values():
            if elevation.node is not None:
                drained.add(self._joined_to(elevation.node))
        for name in self.filled.nodes:
            self.wiring.layout.bled[name] = self._joined_to(name) in drained
        drawing = set() if self._unloaded else {load.node for load in self.filled.currents.values()}
        if not self._unloaded:
            drawing |= {output.anodes for output in self.filled.outputs.values()}
            drawing |= {output.screens for output in self.filled.outputs.values() if output.screens}
        drawn = drained | {self._joined_to(name) for name in drawing}
        self.wiring.layout.drawn = all(self._joined_to(name) in drawn for name in self.filled.nodes)

    def _on_back_bias(self, name: str) -> bool:
        """Whether the resistor in the centre tap's lead drains a node."""
        return self.filled.nodes[name].source.kind == "place"

    def _joined_to(self, name: str) -> str:
        """What a node discharges with: its rectifier, its place, or the node behind the zener before it.

        Through a zener a capacitor does not run down below the zener's volts.
        """
        at = name
        while True:
            source = self.filled.nodes[at].source
            behind = source.kind == "node" and self.wiring.zener_volts("after", source.name)
            if behind or self.wiring.zener_volts("before", at):
                return f"filter {at}"
            if source.kind == "place":
                return f"place {source.name}"
            if source.kind not in ("node", "node middle"):
                return source.name
            at = source.name
