"""An invented two-EL34 head with hand-made figures: what the outputs are shown."""

from __future__ import annotations

from dataclasses import replace

import pytest

from psucheck.checks.finding import Finding
from psucheck.figures.model import (
    CapacitorFigures,
    ChokeFigures,
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
from psucheck.report.view import Report, Tap
from psucheck.supply.assumptions import Assumption
from psucheck.supply.model import Supply

LEVELS: dict[Level, float] = {"low": 216.2, "nominal": 230.0, "high": 253.0, "wall": 243.0}

# Volts at 230 V mains and ripple: reservoir, screens, splitter, preamp, bias.
NODES = ("reservoir", "screens", "splitter", "preamp", "bias")
VOLTS: dict[State, tuple[float, ...]] = {
    "valves out": (484.0, 484.0, 484.0, 472.0, -37.4),
    "cold": (479.0, 479.0, 478.0, 466.0, -37.3),
    "idle": (431.0, 427.0, 371.0, 322.0, -37.0),
    "full output": (404.0, 392.0, 340.0, 295.0, -36.4),
    "standby open": (484.0, 427.0, 371.0, 322.0, -37.4),
    "switch-on": (489.0, 502.0, 480.0, 469.0, -37.4),
    "switch-off": (431.0, 427.0, 371.0, 322.0, -37.0),
    "switch-off, valves out": (484.0, 484.0, 484.0, 472.0, -37.4),
}
RIPPLE = {"idle": 12.7, "full output": 19.3}
AMPS = {"idle": 0.089, "full output": 0.188}


def _supply() -> Supply:
    return Supply.model_validate(
        {
            "title": "Two-EL34 head, filter capacitors replaced",
            "valves": ({"count": 2, "type": "EL34"}, {"count": 3, "type": "ECC83"}),
            "mains": {
                "voltage": 230.0, "frequency": 50.0, "system": "UK",
                "low": 216.2, "high": 253.0, "wall": 243.0,
            },
            "transformer": {"primary": {"voltage": 230.0, "resistance": 6.2}, "taps": {"220 V": 5.9}},
            "windings": {
                "ht": {"volts": (365.0, 365.0), "off_load_at": 243.0, "resistance": (33.0, 35.0)},
                "heaters": {"volts": (6.9,), "off_load_at": 243.0},
                "rectifier heater": {"volts": (5.0,), "current": 2.0},
            },
            "rectifiers": {
                "ht": {
                    "circuit": "centre-tapped", "winding": "ht", "device": {"type": "GZ34"},
                    "heater": "rectifier heater",
                },
                "bias": {
                    "circuit": "half-wave", "winding": "ht", "device": {"type": "1N4007"},
                    "polarity": "negative", "feed": {"value": 47000.0, "power": 2.0},
                },
            },
            "filter": {
                "reservoir": {"capacitor": {"value": 5e-5, "voltage": 500.0}, "was": 455.0},
                "screens": {
                    "choke": {"inductance": 10.0, "resistance": 110.0, "current": 0.18},
                    "capacitor": {"value": 5e-5, "voltage": 500.0},
                },
                "splitter": {
                    "resistor": {"value": 10000.0, "power": 1.0},
                    "capacitor": {"value": 1e-4, "voltage": 350.0, "in_series": 2,
                                  "balancing": {"value": 220000.0, "power": 1.0}},
                    "was": 390.0,
                },
                "preamp": {
                    "resistor": {"value": 10000.0, "power": 1.0},
                    "capacitor": {"value": 2.2e-5, "voltage": 450.0},
                },
                "bias": {
                    "from": "rectifiers.bias", "capacitor": {"value": 1e-5, "voltage": 100.0},
                    "range": (-30.0, -45.0), "set": -37.0,
                },
            },
            "loads": {
                "output": {
                    "valves": ({"count": 2, "type": "EL34"},), "anodes": "reservoir", "screens": "screens",
                    "bias": "bias", "idle": {"cathode": 0.038}, "output_transformer": (38.0, 41.0),
                },
                "preamp": {"node": "preamp", "current": 0.004},
            },
            "fuses": {
                "mains": {"speed": "T", "breaking": "L", "current": 2.0, "voltage": 250.0},
                "before reservoir": {"speed": "T", "breaking": "L", "current": 0.5, "voltage": 250.0},
            },
            "switches": {"standby": {"place": "before screens"}},
            "accepted": {"valve-voltage output": "the maker ran them so"},
        }
    )  # fmt: skip


def _figures(state: State, level: Level, scale: float = 1.0) -> Figures:
    mains = LEVELS[level]
    gain = scale * mains / 230.0
    ripple = RIPPLE.get(state, 0.4)
    amps = AMPS.get(state, 0.002) * gain
    volts = dict(zip(NODES, (gain * value for value in VOLTS[state]), strict=True))
    transient = state in ("switch-on", "switch-off", "switch-off, valves out")
    loaded = state in AMPS
    off = state.startswith("switch-off")
    emptied = 41.0 if state == "switch-off" else None
    places = {
        "mains": PlaceFigures(
            rms_current=6.1 * amps + 0.08,
            peak_current=31.0 if transient else 18.0 * amps + 0.1,
            volts=mains,
            dc=False,
            i2t=2.9 if state == "switch-on" else None,
            window_rms=((0.01, 14.2), (0.1, 5.1)) if state == "switch-on" else (),
        ),
        "before reservoir": PlaceFigures(1.7 * amps, 5.2 * amps, volts["reservoir"], True),
    }
    return Figures(
        name=f"{state}, {level} mains",
        state=state,
        level=level,
        mains=mains,
        kind="transient" if transient else "steady",
        nodes={
            node: NodeFigures(
                dc=value,
                ripple_pp=abs(value) / 440.0 * ripple,
                ripple_rms=abs(value) / 440.0 * ripple / 3.3,
                min=min(value, 0.0) if transient else value - abs(value) / 880.0 * ripple,
                max=max(value, 0.0) if transient else value + abs(value) / 880.0 * ripple,
            )
            for node, value in volts.items()
        },
        capacitors={
            node: CapacitorFigures(
                dc=value,
                max_volts=abs(value) + ripple / 2,
                unit_max_volts=(value / 2, value / 2) if node == "splitter" else (value,),
                ripple_current=1.2 * amps,
                ripple_spectrum=((100.0, 1.1 * amps), (200.0, 0.3 * amps)),
                peak_current=4.0 * amps,
                energy=25e-6 * value**2,
            )
            for node, value in volts.items()
        },
        resistors={"splitter dropper": ResistorFigures(0.0048 * gain, 0.231 * gain**2, 48.0 * gain)},
        chokes={"screens": ChokeFigures(0.02 * gain, 0.0203 * gain, 0.017 * gain, 0.024 * gain, 2.2 * gain)},
        windings={
            "ht": WindingFigures(
                volts=690.0 * gain,
                section_volts=(345.0 * gain, 345.0 * gain),
                rms_current=(1.18 * amps, 1.16 * amps),
                peak_current=(5.1 * amps, 5.0 * amps),
            ),
            "heaters": WindingFigures(6.31 * gain, (6.31 * gain,), (3.9 * gain,), (5.5 * gain,)),
            "rectifier heater": WindingFigures(5.02 * gain, (5.02 * gain,), (1.9 * gain,), (2.7 * gain,)),
        },
        rectifiers={
            "ht": RectifierFigures(amps, amps / 2, 1.18 * amps, 5.1 * amps, 1010.0 * gain, 71.0),
        },
        valves={
            "output": ValveFigures(
                2, "EL34", 428.0 * gain, 424.0 * gain, -37.0 * gain, 0.0339 * gain, 0.0041 * gain,
                14.5 * gain**2, 1.74 * gain**2, volts["reservoir"],
            )
        }
        if loaded
        else {},
        places=places,
        mains_supply=None
        if off
        else MainsFigures(mains, 6.1 * amps + 0.08, 71.0 * gain, 84.0 * gain, 2.4 * gain),
        discharge={
            node: Discharge(volts[node], emptied if node == "reservoir" else 252.0, state == "switch-off")
            for node in ("reservoir", "splitter")
        }
        if off
        else {},
        uncertainty={"nodes.reservoir.dc": 0.02},
        remarks=("all cathodes are taken as hot",) if state == "switch-on" else (),
    )  # fmt: skip


def _all_figures(scale: float = 1.0) -> dict[str, Figures]:
    wanted: list[tuple[State, Level]] = [
        ("valves out", "nominal"), ("valves out", "high"), ("valves out", "wall"),
        ("cold", "nominal"), ("cold", "high"), ("cold", "wall"),
        ("idle", "low"), ("idle", "nominal"), ("idle", "high"), ("idle", "wall"),
        ("full output", "low"), ("full output", "nominal"), ("full output", "high"), ("full output", "wall"),
        ("standby open", "high"), ("switch-on", "high"),
        ("switch-off", "high"), ("switch-off, valves out", "high"),
    ]  # fmt: skip
    made = [_figures(state, level, scale) for state, level in wanted]
    return {figures.name: figures for figures in made}


IEC = "IEC 60384-4: rated voltage holds for as long as it lasts (from memory)"
PRACTICE = "common practice, no source"
GZ34 = "a maker's data sheet of the GZ34 (from memory)"
EL34 = "a maker's data sheet of the EL34, design-centre ratings (from memory)"
HEATERS = "a maker's handbook: heaters within 10 %"


def _findings() -> list[Finding]:
    def held(
        rule: str, subject: str, condition: str, figure: float, limit: float, unit: str, source: str
    ) -> Finding:
        return Finding(
            rule, subject, condition, "ok", "Within its rating.", source, figure, limit, unit,
            margin=(limit - figure) / limit,
        )  # fmt: skip

    def unknown(rule: str, subject: str, why: str, measure: str) -> Finding:
        return Finding(rule, subject, None, "not checked", why, PRACTICE, measure=measure)

    can = "the ripple current on the capacitor's data sheet"
    label = "the HT winding's rated current, or the transformer's VA"
    heater = "the resistance of the heater winding"
    return [
        Finding(
            "capacitor-voltage", "reservoir", "valves out, high mains", "over",
            "With the valves out and the mains high the reservoir stands at 532 V for as long as it is on; "
            "its part is rated 500 V.",
            IEC, 532.4, 500.0, "V", margin=-0.065,
            change="Fit parts for 600 V or more: two of 100 uF 350 V in series, 220k across each.",
        ),
        Finding(
            "capacitor-voltage", "screens", "standby open, high mains", "marginal",
            "470 V is above nine tenths of the rating.", PRACTICE, 470.0, 500.0, "V", margin=0.06,
            change="Fit a part for 550 V or more.",
        ),
        held("capacitor-voltage", "splitter", "valves out, high mains", 532.4, 700.0, "V", IEC),
        held("capacitor-voltage", "bias", "valves out, high mains", 41.1, 100.0, "V", IEC),
        unknown("capacitor-ripple", "reservoir", "Its ripple current rating is not given.", can),
        unknown("capacitor-ripple", "screens", "Its ripple current rating is not given.", can),
        held("first-capacitor", "ht", "idle, high mains", 5e-5, 6e-5, "F", GZ34),
        held("rectifier-reverse", "ht", "valves out, high mains", 1111.0, 1500.0, "V", GZ34),
        held("rectifier-peak", "ht", "full output, high mains", 0.55, 0.75, "A", GZ34),
        replace(held("rectifier-source", "ht", "idle, nominal mains", 71.0, 50.0, "ohm", GZ34),
                lower_limit=True, margin=0.42),
        unknown("winding-current", "ht", "No rated current is given.", label),
        unknown("mains-power", "transformer", "No rated power is given.", label),
        unknown("transformer-fault", "ht", "No rated current is given.", label),
        held("heater-voltage", "heaters", "idle, wall mains", 5.8, 10.0, "%", HEATERS),
        unknown("heater-regulation", "heaters", "Its copper is guessed.", heater),
        held("choke-current", "screens", "full output, high mains", 0.022, 0.18, "A", PRACTICE),
        held("resistor-power", "splitter dropper", "full output, high mains", 0.28, 1.0, "W", PRACTICE),
        Finding(
            "valve-voltage", "output", "idle, nominal mains", "accepted",
            "The screens stand at 427 V.", EL34, 427.0, 425.0, "V", margin=-0.0047,
            change="Raise the screen resistors.",
        ),
        held("valve-dissipation", "output", "idle, nominal mains", 14.5, 25.0, "W", EL34),
        Finding(
            "fuse-voltage", "before reservoir", "idle, high mains", "marginal",
            "A 250 V AC fuse stands in a rail of 474 V DC; its maker says nothing of DC.",
            "IEC 60127-2 rates 250 V AC only", 474.0, 250.0, "V", margin=-0.896, guessed=True,
            change="Fuse the transformer's side, or fit a part with a DC rating.",
        ),
        Finding(
            "fuse-inrush", "before reservoir", None, "not checked", "No fuse data at 100 ms.", ""
        ),
    ]  # fmt: skip


CAUTIONS = [
    "Highest voltage: 552 V DC at screens; switch-on, high mains.",
    "The capacitors store 28.5 J; from 10 J at 100 V a shock can kill.",
    "With the valves out nothing bleeds reservoir and preamp: not below 60 V by itself.",
    "With the valves in and hot reservoir takes 41 s to fall below 60 V.",
    "Before touching: mains plug out, discharge through a resistor, then meter every capacitor.",
    "A variac does not isolate from the mains.",
    "A lamp in series is no gentle start with the valves out: it lets nearly all through, about 511 V.",
    "Live work is for those trained and licensed for it, by the codes of the place.",
]
ASSUMPTIONS = (
    Assumption("windings.heaters.resistance", 0.055, "ohm", "guess", "8 % regulation", "", 0.03, 0.09),
    Assumption("filter.reservoir.capacitor.esr", 1.6, "ohm", "default", "tan delta 0.1", PRACTICE),
    Assumption("transformer.regulation", 0.08, "%", "guess", "usual for 150 VA", PRACTICE, 0.05, 0.12),
    Assumption("loads.preamp.current", 0.004, "A", "derived", "the drop over the 10k"),
)


@pytest.fixture
def report() -> Report:
    supply = _supply()
    return Report(
        supply=supply,
        title=supply.title,
        figures=_all_figures(),
        findings=_findings(),
        cautions=list(CAUTIONS),
        assumptions=ASSUMPTIONS,
        remarks=[],
    )


@pytest.fixture
def swapped(report: Report) -> Report:
    """The same head with its former transformer as found, B+ 7 % lower."""
    found = replace(report, figures=_all_figures(0.93), findings=[], cautions=[])
    taps = (
        Tap("220 V", "reservoir", 531.0, 476.0, {"heaters": 7.0, "rectifier heater": 5.5}),
        Tap("230 V", "reservoir", 506.0, 455.0, {"heaters": 6.7, "rectifier heater": 5.3}),
        Tap("245 V", "reservoir", 478.0, 431.0, {"heaters": 6.3}),
    )
    return replace(report, found=found, taps=taps)
