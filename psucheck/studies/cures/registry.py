"""Which ways there are to mend what a rule finds, smallest change first."""

from __future__ import annotations

from collections.abc import Mapping

from psucheck.studies.cures import capacitors, fuses, rectifiers, resistors, valves, volts
from psucheck.studies.cures.ways import Way

_CLASS = Way("the capacitor's voltage class", capacitors.higher_class)
_STRING = Way("two capacitors in series", capacitors.two_in_series, most=2)
_BLEEDER = Way("a bleeder", capacitors.bleeder, most=2)
_TAP = Way("the primary's tap", volts.other_tap, most=2)
_SMALLER = Way("the first capacitor", capacitors.smaller_first)
_LARGER = Way("the node's capacitance", capacitors.larger)
_IN_ANODES = Way("a resistor in each anode lead", rectifiers.anode_resistors)
_VALVE = Way("the type of rectifier valve", rectifiers.other_valve)
_DIODE = Way("the type of diode", rectifiers.other_diode)
_WATTS = Way("the resistor's watts", resistors.more_watts, most=2)
_TWO = Way("two resistors in series", resistors.two_in_series, most=2)
_LIMITER = Way("an inrush limiter in the mains lead", rectifiers.limiter, most=2)
_COLDER = Way("the bias", valves.colder_bias, most=2)
_CATHODE = Way("the cathode resistor", valves.cathode_resistor, most=5)
_AT_SCREENS = Way("the screen resistors", valves.screen_resistors)
_FUSE = Way("the fuse's value", fuses.other_value, most=2)
_TIME_LAG = Way("a time-lag fuse", fuses.time_lag, most=1)

WAYS: Mapping[str, tuple[Way, ...]] = {
    "capacitor-voltage": (_CLASS, _STRING, _BLEEDER, _TAP),
    "capacitor-sharing": (Way("the balancing resistors", capacitors.balancing, most=1), _CLASS, _TAP),
    "capacitor-ripple-current": (Way("the ripple rating", capacitors.more_ripple_current),),
    "ripple": (_LARGER, Way("the resistor before the node", resistors.more_dropper)),
    "loaded-voltage": (
        Way("the resistor before the node", resistors.more_dropper),
        Way("the resistor before the node", resistors.less_dropper),
        _TAP,
    ),
    "regulation": (Way("the first capacitor", capacitors.larger_first, most=2),),
    "rectifier-reverse-voltage": (
        _DIODE,
        Way("more diodes in series", rectifiers.diodes_in_series),
        _VALVE,
        _TAP,
    ),
    "rectifier-mean-current": (_VALVE, _DIODE),
    "rectifier-peak-current": (_IN_ANODES, _SMALLER, _DIODE, _VALVE, _LIMITER),
    "rectifier-hot-switching": (_IN_ANODES, _SMALLER, _VALVE),
    "rectifier-first-capacitor": (_SMALLER, _VALVE),
    "rectifier-source-resistance": (_IN_ANODES,),
    "winding-current": (_SMALLER,),
    "core-drive": (_TAP,),
    "heater-voltage": (_TAP, Way("a resistor in the heaters' lead", volts.heater_resistor)),
    "heater-cathode": (Way("what the heaters stand on", volts.elevated_heaters, most=1),),
    "relay-pull-in": (Way("the resistor before the relay's node", resistors.less_dropper),),
    "standby-switch": (Way("a resistor across the switch", resistors.bypass, most=2),),
    "choke-current": (Way("the choke", volts.other_choke),),
    "critical-inductance": (_BLEEDER, Way("a bleeder", volts.bleeder_current)),
    "ladder-resonance": (_LARGER,),
    "resistor-power": (_WATTS,),
    "resistor-voltage": (_TWO, _WATTS),
    "resistor-pulse": (_WATTS, _TWO),
    "valve-voltage": (Way("the resistor before the screens", resistors.screens_dropper), _TAP),
    "valve-dissipation": (_CATHODE, _AT_SCREENS, _COLDER, _TAP),
    "cathode-current": (_CATHODE,),
    "fuse-running": (_FUSE,),
    "fuse-inrush": (_TIME_LAG, _FUSE, _LIMITER),
    "fuse-voltage": (Way("a fuse rated for DC", fuses.for_direct_voltage, most=2),),
    "fault-clearing": (
        Way("a smaller fuse", fuses.smaller),
        Way("one more fuse in each lead of the winding", fuses.one_more, most=2),
    ),
    "inrush-limiter": (Way("the type of limiter", rectifiers.other_limiter, most=2),),
    "mains-dip": (_LIMITER,),
}
"""Rules that are not here ask for another way of wiring, or for another transformer: no change of a value or
part is tried for them."""
