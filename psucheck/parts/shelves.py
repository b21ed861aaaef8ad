"""The library: data files read when first asked for, and parts found by name."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property

from psucheck.parts import files
from psucheck.parts.capacitors import CapacitorFamily, CapacitorRules
from psucheck.parts.catalogue import Catalogue
from psucheck.parts.errors import UnknownPart
from psucheck.parts.fuses import Fuses
from psucheck.parts.mains import MainsSystem, SupplyImpedance
from psucheck.parts.own import OwnParts
from psucheck.parts.preferred import PreferredFile
from psucheck.parts.reader import build, read_file
from psucheck.parts.rectifiers import Diode, RectifierValve
from psucheck.parts.resistors import ResistorFamily, ResistorLoading
from psucheck.parts.series import ESeries, SeriesFile
from psucheck.parts.sourced import Part, Sourced
from psucheck.parts.tolerances import Spreads
from psucheck.parts.valves import HeaterInrush, LoadValve
from psucheck.parts.wound import ChokePart, GuideRow, InrushLimiter, Saturation, TransformerClass, WoundFacts


class Library:
    """All parts that are held. A file is read when something in it is first asked for.

    Every access can raise BadPartsData if the data file behind it is broken; a look-up by name raises
    UnknownPart, with the nearest names, if there is no such part.

    Parameters
    ----------
    own : sequence of OwnParts
        The user's own files. A name is looked up in each in turn, and then in the data files.
    """

    def __init__(self, own: Sequence[OwnParts] = ()) -> None:
        self.own = tuple(own)

    def file_of(self, part: Part) -> str | None:
        """The user's file that a part comes from; None for one that ships with psucheck."""
        for own in self.own:
            if any(part is one for _, one in own.parts.all()):
                return own.file
        return None

    @cached_property
    def rectifier_valves(self) -> Catalogue[RectifierValve]:
        """Rectifier valves."""
        own = [one.parts.rectifiers.values() for one in self.own]
        return Catalogue("rectifier valve", self._rectifiers.valves.values(), "rectifiers.toml", own)

    @cached_property
    def diodes(self) -> Catalogue[Diode]:
        """Silicon diodes."""
        held = build(read_file("diodes.toml"), files.DiodesFile, "diodes.toml")
        own = [one.parts.diodes.values() for one in self.own]
        return Catalogue("diode", held.diodes.values(), "diodes.toml", own)

    @cached_property
    def load_valves(self) -> Catalogue[LoadValve]:
        """Output and small valves."""
        own = [one.parts.valves.values() for one in self.own]
        return Catalogue("valve", self._valves.valves.values(), "valves.toml", own)

    @cached_property
    def mains_systems(self) -> Catalogue[MainsSystem]:
        """Mains systems."""
        own = [one.parts.systems.values() for one in self.own]
        return Catalogue("mains system", self._mains.systems.values(), "mains.toml", own)

    @property
    def reference_impedance(self) -> Sourced[SupplyImpedance]:
        """The reference impedance of IEC 60725: that behind the mains of Europe."""
        return self._mains.systems["EU"].impedance

    @cached_property
    def _mains(self) -> files.MainsFile:
        return build(read_file("mains.toml"), files.MainsFile, "mains.toml")

    @cached_property
    def capacitor_families(self) -> Catalogue[CapacitorFamily]:
        """Families of electrolytic capacitors."""
        return Catalogue("capacitor family", self._capacitors.families.values(), "capacitors.toml")

    @cached_property
    def resistor_families(self) -> Catalogue[ResistorFamily]:
        """Kinds of resistor."""
        return Catalogue("resistor family", self._resistors.families.values(), "resistors.toml")

    @cached_property
    def transformer_classes(self) -> Catalogue[TransformerClass]:
        """Usual transformers by class of amplifier."""
        return Catalogue("transformer class", self._transformers.classes.values(), "transformers.toml")

    @cached_property
    def rectifier_guide(self) -> Catalogue[GuideRow]:
        """A maker's ratios of direct current to rated secondary current."""
        return Catalogue("rectifier circuit", self._transformers.guide.values(), "transformers.toml")

    @cached_property
    def chokes(self) -> Catalogue[ChokePart]:
        """Chokes."""
        own = [one.parts.chokes.values() for one in self.own]
        return Catalogue("choke", self._chokes.chokes.values(), "chokes.toml", own)

    @cached_property
    def ntcs(self) -> Catalogue[InrushLimiter]:
        """Inrush limiters."""
        held = build(read_file("ntcs.toml"), files.LimitersFile, "ntcs.toml")
        own = [one.parts.ntcs.values() for one in self.own]
        return Catalogue("inrush limiter", held.ntcs.values(), "ntcs.toml", own)

    @cached_property
    def fuses(self) -> Fuses:
        """Everything that is held about fuses."""
        return build(read_file("fuses.toml"), Fuses, "fuses.toml")

    @cached_property
    def e_series(self) -> ESeries:
        """The numbers of the series of preferred values that no rule gives."""
        return build(read_file("series.toml"), SeriesFile, "series.toml").e

    @cached_property
    def preferred(self) -> PreferredFile:
        """The values that parts are made in."""
        return build(read_file("preferred.toml"), PreferredFile, "preferred.toml")

    @property
    def capacitor_rules(self) -> CapacitorRules:
        """What holds for any aluminium electrolytic."""
        return self._capacitors.rules

    @property
    def default_tan_delta_family(self) -> CapacitorFamily:
        """The family whose loss factor stands in for an unknown capacitor's."""
        return self.capacitor_families[self._capacitors.default.tan_delta_family]

    @property
    def default_ripple_family(self) -> CapacitorFamily:
        """The family whose ripple multipliers stand in for an unknown capacitor's."""
        return self.capacitor_families[self._capacitors.default.ripple_family]

    @property
    def resistor_loading(self) -> ResistorLoading:
        """How far a resistor is loaded."""
        return self._resistors.loading

    @property
    def heater_inrush(self) -> Sourced[HeaterInrush]:
        """Cold heater current over running current."""
        return self._valves.heater_inrush

    @property
    def wound(self) -> WoundFacts:
        """What holds for transformers in general."""
        return self._transformers.wound

    @property
    def choke_saturation(self) -> Saturation:
        """How a choke of unknown core saturates."""
        return self._chokes.saturation

    @cached_property
    def spreads(self) -> Spreads:
        """What each kind of part may be off by, where the part itself does not say."""
        return build(read_file("tolerances.toml"), files.TolerancesFile, "tolerances.toml").spreads

    def rectifier_valve(self, name: str) -> RectifierValve:
        """The rectifier valve of that name."""
        return self.rectifier_valves[name]

    def diode(self, name: str) -> Diode:
        """The silicon diode of that name."""
        return self.diodes[name]

    def rectifier(self, name: str) -> RectifierValve | Diode:
        """The rectifier valve or silicon diode of that name."""
        if name in self.rectifier_valves:
            return self.rectifier_valves[name]
        if name in self.diodes:
            return self.diodes[name]
        near = self.rectifier_valves.nearest(name) + self.diodes.nearest(name)
        raise UnknownPart(name, "rectifier", near)

    def load_valve(self, name: str) -> LoadValve:
        """The output or small valve of that name."""
        return self.load_valves[name]

    def mains_system(self, name: str) -> MainsSystem:
        """The mains system of that name."""
        return self.mains_systems[name]

    def capacitor_family(self, name: str) -> CapacitorFamily:
        """The capacitor family of that name."""
        return self.capacitor_families[name]

    def resistor_family(self, name: str = "unknown") -> ResistorFamily:
        """The kind of resistor of that name; without one, the kind with the lowest working voltages."""
        return self.resistor_families[name]

    def choke(self, name: str) -> ChokePart:
        """The choke of that name."""
        return self.chokes[name]

    def ntc(self, name: str) -> InrushLimiter:
        """The inrush limiter of that name."""
        return self.ntcs[name]

    def transformer_class(self, name: str) -> TransformerClass:
        """The usual transformer of that class of amplifier."""
        return self.transformer_classes[name]

    @cached_property
    def _rectifiers(self) -> files.RectifiersFile:
        return build(read_file("rectifiers.toml"), files.RectifiersFile, "rectifiers.toml")

    @cached_property
    def _valves(self) -> files.ValvesFile:
        return build(read_file("valves.toml"), files.ValvesFile, "valves.toml")

    @cached_property
    def _capacitors(self) -> files.CapacitorsFile:
        return build(read_file("capacitors.toml"), files.CapacitorsFile, "capacitors.toml")

    @cached_property
    def _resistors(self) -> files.ResistorsFile:
        return build(read_file("resistors.toml"), files.ResistorsFile, "resistors.toml")

    @cached_property
    def _transformers(self) -> files.TransformersFile:
        return build(read_file("transformers.toml"), files.TransformersFile, "transformers.toml")

    @cached_property
    def _chokes(self) -> files.ChokesFile:
        return build(read_file("chokes.toml"), files.ChokesFile, "chokes.toml")
