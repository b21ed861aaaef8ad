"""By how much each part of a supply may be off: its own tolerance, its family's, or the range of a guess."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Literal

from psucheck.parts import in_force, library
from psucheck.parts.sourced import Sourced, Status
from psucheck.parts.tolerances import Shape, Spread
from psucheck.supply.assumptions import Assumption
from psucheck.supply.filled import FilledDevice, FilledNode, FilledSupply
from psucheck.supply.model import Capacitor, Zener

_SMALL_FARADS = 1e-6
"""Below this a capacitor is taken for film or paper, above it for an electrolytic [F]."""
_GIVEN = "the description"


@dataclass(frozen=True, slots=True)
class Tolerance:
    """How far one value of a supply may be off.

    Attributes
    ----------
    key
        What it is of: ``"filter.reservoir.capacitance"``, ``"windings.ht.volts"``, ``"mains"``.
    low, high
        Least and greatest value over the nominal one [1]; one of them may be 1.
    source
        Where that comes from.
    status
        How it is known: as in the part library, ``"given"`` in the description, or ``"guess"``, the range of
        one.
    shape
        How likely what lies between is: ``"uniform"``, or ``"peaked"``, least at the ends.
    """

    key: str
    low: float
    high: float
    source: str
    status: Status | Literal["given", "guess"]
    shape: Shape = "uniform"

    def factor(self, share: float) -> float:
        """The value over nominal at ``share`` of the way to an end: -1 is ``low``, 0 nominal, 1 ``high``.

        Geometric between, so that half and twice lie equally far off.
        """
        end = self.low if share < 0 else self.high
        return float(end ** abs(share))

    @property
    def words(self) -> str:
        """For people: ``"reservoir capacitance"``, ``"ht winding volts"``."""
        return words_of(self.key)


class UnknownKey(ValueError):
    """A supply has no such value to vary; the message names the nearest that it has."""

    def __init__(self, key: str, known: Iterator[str] | list[str]) -> None:
        near = get_close_matches(key, list(known), n=3, cutoff=0.5)
        hint = f"; near it: {', '.join(near)}" if near else ""
        super().__init__(f'this supply has no "{key}" that could be off{hint}')


_WORDS = {
    "esr": "ESR",
    "full": "current at full output",
    "load": "pot and padding",
    "resistor": "dropper",
    "iron": "iron loss",
    "choke_knee": "choke saturation",
    "volts": "volts",
}
"""Last part of a key -> the trade's word, where it is not the word itself."""
_WORDS_OF_ROOMS = {
    "fuses": "fuse {name}, resistance",
    "limiters": "limiter {name}, resistance",
    "series": "{name}, series {value}",
    "windings": "{name} winding {value}",
    "rectifiers": "{name} rectifier {value}",
}


def words_of(key: str) -> str:
    """A tolerance's key in words, ``"filter.reservoir.capacitance"`` as ``"reservoir capacitance"``."""
    room, _, rest = key.partition(".")
    name, _, value = rest.rpartition(".")
    if room == "mains":
        return f"mains {rest or 'volts'}"
    value = _WORDS.get(value, value.replace("_", " "))
    name = (
        name.replace(".capacitors.0", " upper").replace(".capacitors.1", " lower").replace(".feed", " feed")
    )
    if name.startswith("at "):
        return f"{value} {name}"
    return _WORDS_OF_ROOMS.get(room, "{name} {value}").format(name=name or room, value=value)


def tolerances(filled: FilledSupply) -> tuple[Tolerance, ...]:
    """Every value of ``filled`` that may be off, in the order of the description.

    A part's own tolerance where the description gives it, the range of a guess where it was guessed, else
    what is usual of its kind in the part library.

    Raises
    ------
    BadPartsData
        If the library's data are broken.
    """
    with in_force(filled.supply.library):
        return tuple(_Found(filled).all())


class _Found:
    def __init__(self, filled: FilledSupply) -> None:
        self.filled = filled
        self.supply = filled.supply
        self.usual = library().spreads
        self.ranges = {note.key: note for note in filled.assumptions if _has_range(note)}

    def all(self) -> Iterator[Tolerance]:
        yield from self._mains()
        yield from self._transformer()
        for name in self.filled.windings:
            yield from self._winding(name)
        for name in self.supply.rectifiers:
            yield from self._rectifier(name)
        for name, node in self.filled.nodes.items():
            yield from self._node(name, node)
        for name in self.filled.currents:
            yield from self._current(name)
        for name in self.filled.outputs:
            yield from self._output(name)
        yield from self._places()

    # --- how a tolerance comes about ----------------------------------------------------------------------

    def _of(self, key: str, usual: Sourced[Spread], assumption: str | None = None) -> Tolerance:
        """The range of the guess that stands for it, if it is one, else what is usual of its kind."""
        guess = self.ranges.get(assumption or key)
        if guess is not None:
            return _from_guess(key, guess)
        return _from_library(key, usual)

    def _guessed(self, key: str, assumption: str) -> Iterator[Tolerance]:
        """Only where it is a guess: elsewhere it matters to no figure, or is known well enough."""
        if assumption in self.ranges:
            yield _from_guess(key, self.ranges[assumption])

    def _capacitance(self, key: str, capacitor: Capacitor) -> Tolerance:
        if "tolerance" in capacitor.model_fields_set:
            low, high = capacitor.tolerance
            return Tolerance(key, 1 + low, 1 + high, _GIVEN, "given")
        if capacitor.value < _SMALL_FARADS:
            return _from_library(key, self.usual.film_capacitor)
        rule = library().capacitor_rules.tolerance
        return Tolerance(key, 1 - rule.value.minus, 1 + rule.value.plus, rule.citation, rule.status)

    def _capacitor(self, key: str, assumption: str, capacitor: Capacitor) -> Iterator[Tolerance]:
        yield self._capacitance(f"{key}.capacitance", capacitor)
        yield self._of(f"{key}.esr", self.usual.esr_given, f"{assumption}.esr")
        yield from self._guessed(f"{key}.leakage", f"{assumption}.leakage")
        if capacitor.balancing is not None:
            yield _from_library(f"{key}.balancing", self.usual.resistor)

    # --- the supply, part by part -------------------------------------------------------------------------

    def _mains(self) -> Iterator[Tolerance]:
        mains, noted = self.filled.mains, {note.key: note for note in self.filled.assumptions}
        notes = [noted[key] for key in ("mains.low", "mains.high") if key in noted]
        system = self.supply.mains.system
        status: Status | Literal["given"] = "given"
        if notes:
            status = library().mains_system(system).voltage.status if system else "second-hand"
        source = notes[0].source if notes else _GIVEN
        yield Tolerance("mains", mains.low / mains.nominal, mains.high / mains.nominal, source, status)
        yield self._of("mains.impedance", self.usual.mains_impedance)

    def _transformer(self) -> Iterator[Tolerance]:
        yield self._of("transformer.primary.resistance", self.usual.copper)
        if self.filled.core is not None:
            yield self._of("transformer.iron", self.usual.iron, "transformer.no_load_power")
            yield from self._guessed("transformer.leakage", "transformer.leakage")

    def _winding(self, name: str) -> Iterator[Tolerance]:
        key = f"windings.{name}"
        read_off_load = self.supply.windings[name].off_load_at is not None
        usual = self.usual.winding_volts_read if read_off_load else self.usual.winding_volts_rated
        yield self._of(f"{key}.volts", usual, f"{key}.off_load_volts")
        yield self._of(f"{key}.resistance", self.usual.copper)
        if any(load.winding == name for load in self.filled.heaters):
            yield _from_library(f"{key}.heater_current", self.usual.heaters)

    def _rectifier(self, name: str) -> Iterator[Tolerance]:
        key, rectifier = f"rectifiers.{name}", self.supply.rectifiers[name]
        yield _from_library(f"{key}.drop", self._drop(self.filled.devices[name]))
        for number, capacitor in enumerate(rectifier.capacitors or ()):
            yield from self._capacitor(f"{key}.capacitors.{number}", f"{key}.capacitors.{number}", capacitor)
        if isinstance(rectifier.feed, Capacitor):
            yield self._capacitance(f"{key}.feed.capacitance", rectifier.feed)
        elif rectifier.feed is not None:
            yield _from_library(f"{key}.feed_resistor", self.usual.resistor)
        if rectifier.anode_resistors is not None:
            yield _from_library(f"{key}.anode_resistors", self.usual.resistor)

    def _drop(self, device: FilledDevice) -> Sourced[Spread]:
        return self.usual.valve_drop if device.kind == "valve" else self.usual.silicon_drop

    def _node(self, name: str, node: FilledNode) -> Iterator[Tolerance]:
        key, described = f"filter.{name}", self.supply.filter[name]
        if node.choke is not None:
            held = library().choke_saturation.tolerance
            choke = Sourced[Spread](
                value=Spread(least=1 - held.value, most=1 + held.value, shape="uniform"),
                source=held.source, status=held.status, confidence=held.confidence,
            )  # fmt: skip
            yield self._of(f"{key}.inductance", choke, f"{key}.choke.inductance")
            yield from self._guessed(f"{key}.choke_knee", f"{key}.choke.knee")
            yield _from_library(f"{key}.choke_resistance", self.usual.copper)
        if node.resistor_ohms:
            yield _from_library(f"{key}.resistor", self.usual.resistor)
        if described.capacitor is not None:
            yield from self._capacitor(key, f"{key}.capacitor", described.capacitor)
        if node.bleeder_ohms:
            yield _from_library(f"{key}.bleeder", self.usual.resistor)
        if node.bias_load_ohms is not None:
            yield self._of(f"{key}.load", self.usual.resistor)

    def _current(self, name: str) -> Iterator[Tolerance]:
        load = self.filled.currents[name]
        if load.heats:
            yield _from_library(f"loads.{name}.heater_current", self.usual.heaters)
        elif load.ohms is not None:
            yield _from_library(f"loads.{name}.resistance", self.usual.resistor)
        else:
            yield self._of(f"loads.{name}.current", self.usual.small_valves, f"filter.{load.node}.current")

    def _output(self, name: str) -> Iterator[Tolerance]:
        key, load = f"loads.{name}", self.filled.outputs[name]
        yield _from_library(f"{key}.valves", self.usual.output_valves)
        yield self._of(f"{key}.full", self.usual.full_output)
        if load.screens is not None:
            yield from self._guessed(f"{key}.screen_current", f"{key}.idle.screen")
        if load.cathode_ohms:
            yield _from_library(f"{key}.cathode_resistor", self.usual.resistor)
        if load.screen_ohms:
            yield _from_library(f"{key}.screen_resistors", self.usual.resistor)

    def _places(self) -> Iterator[Tolerance]:
        for place in self.filled.place_ohms:
            yield from self._guessed(f"fuses.{place}.resistance", f"fuses.{place}.resistance")
        for place in self.filled.limiters:
            yield _from_library(f"limiters.{place}.resistance", self.usual.limiter)
        for place, standing in self.supply.series.items():
            if isinstance(standing, Zener):
                yield _from_library(f"series.{place}.volts", self.usual.zener)
            elif standing.value:
                yield _from_library(f"series.{place}.resistance", self.usual.resistor)


def _has_range(note: Assumption) -> bool:
    """Whether a value was guessed within a range that can be told as factors."""
    if note.low is None or note.high is None:
        return False
    return 0 < note.low < note.high and note.value > 0


def _from_guess(key: str, note: Assumption) -> Tolerance:
    assert note.low is not None  # what has no range is no guess here
    assert note.high is not None
    low, high = min(note.low / note.value, 1.0), max(note.high / note.value, 1.0)
    return Tolerance(key, low, high, note.source, "guess", "peaked")


def _from_library(key: str, held: Sourced[Spread]) -> Tolerance:
    return Tolerance(key, held.value.least, held.value.most, held.citation, held.status, held.value.shape)
