"""Cases for the rules' tests: one invented amplifier, its figures all within limits, and ways to change both.

The figures are plausible numbers, not a simulation: a rule is tested on the figure it reads.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from psucheck.checks.case import Case
from psucheck.figures.model import (
    CapacitorFigures,
    ChokeFigures,
    CoreFigures,
    Discharge,
    Figures,
    Level,
    MainsFigures,
    NodeFigures,
    PlaceFigures,
    RectifierFigures,
    ResistorFigures,
    State,
    ValveFigures,
    WindingFigures,
)
from psucheck.supply.assumptions import Assumption
from psucheck.supply.model import Supply

DESCRIPTION: Mapping[str, Any] = {
    "title": "Two-EL34 head of nobody's make",
    "valves": "2 x EL34, 3 x ECC83",
    "mains": {
        "voltage": "230 V",
        "frequency": "50 Hz",
        "low": "216 V",
        "high": "253 V",
        "wall": "240 V",
    },
    "transformer": {"primary": "230 V, 6.2 ohm"},
    "windings": {
        "ht": {
            "volts": ["320 V", "320 V"],
            "off_load_at": "230 V",
            "resistance": ["33 ohm", "35 ohm"],
            "current": "350 mA",
        },
        "heaters": {"volts": ["6.6 V"], "off_load_at": "230 V", "resistance": ["0.05 ohm"], "current": "5 A"},
        "rectifier heater": {
            "volts": ["5.2 V"],
            "off_load_at": "230 V",
            "resistance": ["0.1 ohm"],
            "current": "2 A",
        },
    },
    "rectifiers": {
        "ht": {
            "circuit": "centre-tapped",
            "winding": "ht",
            "device": "GZ34",
            "heater": "rectifier heater",
        },
        "bias": {
            "circuit": "half-wave",
            "polarity": "negative",
            "winding": "ht",
            "end": "a",
            "feed": "47k 2 W",
            "device": "1N4007",
        },
    },
    "filter": {
        "reservoir": {
            "capacitor": {"value": "50 uF", "voltage": "500 V", "ripple_current": "400 mA"},
            "was": "415 V",
        },
        "screens": {
            "choke": {"inductance": "10 H", "resistance": "110 ohm", "current": "180 mA"},
            "capacitor": {"value": "50 uF", "voltage": "500 V", "ripple_current": "400 mA"},
        },
        "splitter": {
            "resistor": {"value": "10k", "power": "3 W", "voltage": "500 V"},
            "capacitor": {
                "value": "100 uF",
                "voltage": "350 V",
                "in_series": 2,
                "balancing": {"value": "220k", "power": "1 W", "voltage": "500 V"},
                "ripple_current": "500 mA",
            },
        },
        "preamp": {
            "resistor": {"value": "10k", "power": "3 W", "voltage": "500 V"},
            "capacitor": {"value": "22 uF", "voltage": "500 V", "ripple_current": "150 mA"},
            "bleeder": {"value": "220k", "power": "3 W", "voltage": "500 V"},
        },
        "bias": {
            "from": "rectifiers.bias",
            "capacitor": {"value": "10 uF", "voltage": "100 V", "ripple_current": "50 mA"},
            "range": ["-30 V", "-45 V"],
            "set": "-37 V",
        },
    },
    "loads": {
        "output": {
            "valves": "2 x EL34",
            "anodes": "reservoir",
            "screens": "screens",
            "bias": "bias",
            "idle": "38 mA each at the cathode",
            "output_transformer": "38 + 41 ohm",
            "screen_resistors": {"value": "1k", "power": "5 W", "voltage": "500 V"},
        },
        "preamp": {"node": "preamp", "current": "4 mA"},
    },
    "fuses": {"mains": "T2AL250V"},
}

_MAINS: Mapping[Level, float] = {"low": 216.0, "nominal": 230.0, "high": 253.0, "wall": 240.0}
_STEADY: tuple[State, ...] = ("valves out", "cold", "idle", "full output")
_DC: Mapping[State, Mapping[str, float]] = {
    "valves out": {"reservoir": 400.0, "screens": 400.0, "splitter": 396.0, "preamp": 380.0, "bias": -50.0},
    "cold": {"reservoir": 400.0, "screens": 400.0, "splitter": 396.0, "preamp": 380.0, "bias": -50.0},
    "idle": {"reservoir": 395.0, "screens": 388.0, "splitter": 340.0, "preamp": 290.0, "bias": -35.5},
    "full output": {"reservoir": 370.0, "screens": 355.0, "splitter": 310.0, "preamp": 265.0, "bias": -35.5},
}
"""Mean volts of each node at nominal mains; those at other mains go with the mains."""
_RIPPLE: Mapping[str, float] = {
    "reservoir": 0.03,
    "screens": 0.004,
    "splitter": 1e-4,
    "preamp": 1e-5,
    "bias": 0.01,
}


def changed(table: Mapping[str, Any], changes: Mapping[str, Any]) -> dict[str, Any]:
    """``table`` with nested ``changes`` laid over it; None takes a key out."""
    merged = dict(table)
    for key, value in changes.items():
        if value is None:
            merged.pop(key, None)
        elif isinstance(value, Mapping) and isinstance(merged.get(key), Mapping):
            merged[key] = changed(merged[key], value)
        else:
            merged[key] = value
    return merged


def supply(**changes: Any) -> Supply:
    """The invented amplifier with changes to its description: ``supply(filter={"reservoir": {...}})``."""
    return Supply(**changed(DESCRIPTION, changes))


def node(dc: float, ripple: float = 0.0) -> NodeFigures:
    """A node at ``dc`` [V] with ``ripple`` peak to peak, as a share of it."""
    peaks = abs(dc) * ripple
    return NodeFigures(dc, peaks, peaks / 3.46, dc - peaks / 2, dc + peaks / 2)


def capacitor(
    volts: float, *, parts: int = 1, farads: float = 50e-6, spectrum: tuple[tuple[float, float], ...] = ()
) -> CapacitorFigures:
    """A capacitor, or ``parts`` equal ones in series, at ``volts`` peak over all of them."""
    ripple = sum(amps**2 for _, amps in spectrum) ** 0.5
    each = (volts / parts,) * parts
    return CapacitorFigures(volts, volts, each, ripple, spectrum, 3 * ripple, farads * volts**2 / 2)


def figures(state: State = "idle", level: Level = "nominal", **replaced: Any) -> Figures:
    """Figures of one condition, all parts well inside their ratings; keywords replace whole mappings."""
    mains = _MAINS[level]
    dc = {name: volts * mains / 230.0 for name, volts in _DC.get(state, _DC["idle"]).items()}
    loaded = state in ("idle", "full output")
    drawn = {"idle": 0.09, "full output": 0.17}.get(state, 0.0)
    spectrum = ((100.0, 1.2 * drawn), (200.0, 0.6 * drawn)) if loaded else ()
    made = Figures(
        name=f"{state}, {level} mains",
        state=state,
        level=level,
        mains=mains,
        kind="steady" if state in (*_STEADY, "standby open") else "transient",
        nodes={name: node(volts, _RIPPLE[name] if loaded else 0.0) for name, volts in dc.items()},
        capacitors={
            "reservoir": capacitor(dc["reservoir"] * 1.015, spectrum=spectrum),
            "screens": capacitor(dc["screens"], spectrum=((100.0, 0.02 * loaded),)),
            "splitter": capacitor(dc["splitter"], parts=2, spectrum=((100.0, 0.001 * loaded),)),
            "preamp": capacitor(dc["preamp"], farads=22e-6, spectrum=((100.0, 0.0002 * loaded),)),
            "bias": capacitor(abs(dc["bias"]), farads=10e-6, spectrum=((50.0, 0.002),)),
        },
        core=CoreFigures(flux=mains / 230.0, offset=0.0, magnetising=0.05, watts=8.0),
        resistors={
            "splitter dropper": ResistorFigures(0.0048, 0.23, 48.0),
            "splitter balancing": ResistorFigures(0.0008, 0.14, 198.0),
            "preamp dropper": ResistorFigures(0.004, 0.16, 50.0),
            "preamp bleeder": ResistorFigures(0.0013, 0.38, 380.0),
            "output screen resistor": ResistorFigures(0.006, 0.036, 20.0),
            "bias feed": ResistorFigures(0.003, 0.42, 350.0),
        },
        chokes={"screens": ChokeFigures(0.1 * drawn, 0.1 * drawn, 0.08 * drawn, 0.15 * drawn, 2.0)},
        windings={
            "ht": WindingFigures(640.0 * mains / 230.0, (320.0, 320.0), (1.2 * drawn,) * 2, (0.5, 0.5)),
            "heaters": WindingFigures(6.3 * mains / 230.0, (6.3,), (3.9,), (5.5,)),
            "rectifier heater": WindingFigures(5.0 * mains / 230.0, (5.0,), (1.9,), (2.7,)),
        },
        rectifiers={
            "ht": RectifierFigures(drawn, drawn / 2, 1.1 * drawn, 3.5 * drawn, 900.0 * mains / 230.0, 120.0),
            "bias": RectifierFigures(0.001, 0.001, 0.003, 0.01, 420.0 * mains / 230.0, 47e3),
        },
        valves={
            "output": ValveFigures(2, "EL34", 388.0, 380.0, -37.0, 0.034, 0.004, 13.2, 1.5, 395.0),
        }
        if loaded
        else {},
        places={"mains": PlaceFigures(0.55, 1.5, 253.0, False)},
        mains_supply=MainsFigures(mains, 0.55, 95.0, 126.0, 1.5),
    )
    return replace(made, **replaced)


def all_figures() -> dict[str, Figures]:
    """Every condition of the invented amplifier, within limits."""
    made = [figures(state, level) for state in _STEADY for level in _MAINS]
    fast = {name: Discharge(volts, 12.0, True) for name, volts in _DC["idle"].items()}
    slow = {name: Discharge(volts, 45.0, True) for name, volts in _DC["valves out"].items()}
    charging = PlaceFigures(1.2, 9.0, 253.0, False, i2t=1.0, window_rms=((0.01, 6.0), (0.1, 3.0), (1.0, 1.2)))
    made += [
        figures("switch-on", "high", places={"mains": charging}),
        figures("switch-off", "nominal", discharge=fast),
        figures("switch-off, valves out", "nominal", discharge=slow),
    ]
    return {each.name: each for each in made}


def case(*changes: Figures, assumptions: tuple[Assumption, ...] = (), **description: Any) -> Case:
    """The invented amplifier with changed conditions and a changed description."""
    every = all_figures() | {each.name: each for each in changes}
    return Case(supply(**description), every, assumptions)


def with_capacitor(made: Figures, name: str, found: CapacitorFigures) -> Figures:
    """``made`` with other figures for one capacitor."""
    return replace(made, capacitors={**made.capacitors, name: found})


def with_node(made: Figures, name: str, found: NodeFigures) -> Figures:
    """``made`` with other figures for one node."""
    return replace(made, nodes={**made.nodes, name: found})
