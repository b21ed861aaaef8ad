"""All figures of all conditions, a table for each kind of part."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Any

from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from psucheck.figures import warm_up
from psucheck.figures.model import (
    CapacitorFigures,
    ChokeFigures,
    Discharge,
    Figures,
    PlaceFigures,
    RectifierFigures,
    ResistorFigures,
    Sag,
    ValveFigures,
    WindingFigures,
)
from psucheck.report import words
from psucheck.report.view import Report, relay_verdict

Cells = tuple[str, ...]
Kind = tuple[str, Cells, Callable[[Figures], Mapping[str, Any]], Callable[[Any], Cells]]


def sections(report: Report) -> Iterator[tuple[str, RenderableType]]:
    """(heading, table) for every kind of part that has figures.

    Once the mains is off only the way down is told: the averages of such a run's last cycle say nothing. The
    moments of the warm-up have a table of their own.
    """
    runs = [f for f in report.figures.values() if not f.state.startswith(("switch-off", "warm-up"))]
    kinds: tuple[Kind, ...] = (
        ("Volts", ("DC", "lowest", "highest", "ripple p-p", "RMS"), lambda f: f.nodes, _node),
        ("Windings", ("volts", "A RMS", "A peak"), lambda f: f.windings, _winding),
        ("Heaters behind what stands in their leads", ("volts",), _led, _at_heaters),
        ("Elevated heaters", ("stand on",), _elevated, _elevation),
        (
            "Rectifiers",
            ("DC", "arm RMS", "arm peak", "reverse", "source"),
            lambda f: f.rectifiers,
            _rectifier,
        ),
        ("Capacitors", ("highest", "each", "ripple RMS", "energy"), lambda f: f.capacitors, _capacitor),
        ("Chokes", ("DC", "RMS", "peak", "lowest"), lambda f: f.chokes, _choke),
        ("Resistors", ("RMS", "watts", "highest V"), lambda f: f.resistors, _resistor),
        (
            "Valves, each",
            ("anode", "screen", "grid", "mA", "anode W", "screen W"),
            lambda f: f.valves,
            _valve,
        ),
        ("Fuses and switches", ("RMS", "peak", "volts", "I²t"), lambda f: f.places, _place),
        ("Over the open contacts", ("highest",), _open_contacts, _open_volts),
    )
    for kind in kinds:
        table = _by_part(runs, kind)
        if table.row_count:
            yield kind[0], table
    mains = _mains(runs)
    if mains.row_count:
        yield "Drawn from the mains", mains
    off: Kind = ("Once the mains is off", ("from", "to 60 V", ""), lambda f: f.discharge, _discharge)
    burst: Kind = (
        "Full output for a second",
        ("from", "down to", "fall", "time constant", "back in"),
        lambda f: f.sag,
        _sag,
    )
    others = (
        (off[0], _by_part(list(report.figures.values()), off)),
        (burst[0], _by_part(runs, burst)),
        ("How far the guesses move it", _ranges(runs)),
        ("Warming up", _warming(report)),
        ("The core", _cores(runs)),
        ("Relays", _relays(report)),
    )
    for heading, table in others:
        if table.row_count:
            yield heading, table
    remarks = [Text(words.plain(f"{f.name}: {said}")) for f in report.figures.values() for said in f.remarks]
    if remarks:
        yield "Of the conditions", Group(*remarks)


def _by_part(runs: list[Figures], kind: Kind) -> Table:
    """The conditions of one part below one another, below its name, for comparison."""
    _, headings, parts_of, cells_of = kind
    table = words.ruled("", *headings)
    names = dict.fromkeys(name for figures in runs for name in parts_of(figures))
    for part in names:
        words.row(table, Text(words.plain(part), style="bold"))
        for figures in runs:
            if part in parts_of(figures):
                words.row(table, words.indented(figures.name), *cells_of(parts_of(figures)[part]))
    return table


def _node(node: Any) -> Cells:
    return (
        words.volts(node.dc),
        words.volts(node.min),
        words.volts(node.max),
        words.amount(node.ripple_pp, "V"),
        words.amount(node.ripple_rms, "V"),
    )


def _each(values: tuple[float, ...], unit: str) -> str:
    """One figure where all sections agree as shown, else every section's."""
    shown = [words.amount(value, unit) for value in values]
    return shown[0] if len(set(shown)) == 1 else " / ".join(shown)


def _winding(winding: WindingFigures) -> Cells:
    return (
        words.amount(winding.volts, "V"),
        _each(winding.rms_current, "A"),
        _each(winding.peak_current, "A"),
    )


def _rectifier(rectifier: RectifierFigures) -> Cells:
    return (
        words.amount(rectifier.mean_current, "A"),
        words.amount(rectifier.arm_rms_current, "A"),
        words.amount(rectifier.peak_current, "A"),
        words.amount(rectifier.reverse_voltage, "V"),
        words.amount(rectifier.source_resistance, "ohm"),
    )


def _capacitor(capacitor: CapacitorFigures) -> Cells:
    each = _each(capacitor.unit_max_volts, "V") if len(capacitor.unit_max_volts) > 1 else words.NONE
    return (
        words.amount(capacitor.max_volts, "V"),
        each,
        words.amount(capacitor.ripple_current, "A"),
        words.amount(capacitor.energy, "J"),
    )


def _choke(choke: ChokeFigures) -> Cells:
    figures = (choke.dc, choke.rms_current, choke.peak_current, choke.min_current)
    return tuple(words.amount(value, "A") for value in figures)


def _resistor(resistor: ResistorFigures) -> Cells:
    return (
        words.amount(resistor.rms_current, "A"),
        words.amount(resistor.watts, "W"),
        words.amount(resistor.max_volts, "V"),
    )


def _valve(valve: ValveFigures) -> Cells:
    return (
        words.volts(valve.anode_volts),
        words.volts(valve.screen_volts),
        words.volts(valve.bias),
        f"{1000 * valve.anode_current:.1f}",
        f"{valve.anode_watts:.1f}",
        f"{valve.screen_watts:.1f}",
    )


def _place(place: PlaceFigures) -> Cells:
    return (
        words.amount(place.rms_current, "A"),
        words.amount(place.peak_current, "A"),
        f"{words.amount(place.volts, 'V')} {'DC' if place.dc else 'AC'}",
        words.amount(place.i2t, "A^2 s"),
    )


_TOLD_APART = 1e-3
"""Difference between the volts at the heaters and at their winding that is told [share]."""


def _led(figures: Figures) -> Mapping[str, WindingFigures]:
    """The windings whose heaters get other volts than they have at the transformer."""
    return {n: w for n, w in figures.windings.items() if abs(w.at_heaters - w.volts) > _TOLD_APART * w.volts}


def _at_heaters(winding: WindingFigures) -> Cells:
    return (words.amount(winding.at_heaters, "V"),)


def _elevated(figures: Figures) -> Mapping[str, WindingFigures]:
    return {name: one for name, one in figures.windings.items() if one.elevation is not None}


def _elevation(winding: WindingFigures) -> Cells:
    return (words.amount(winding.elevation, "V"),)


def _open_contacts(figures: Figures) -> Mapping[str, PlaceFigures]:
    return {name: one for name, one in figures.places.items() if one.open_volts is not None}


def _open_volts(place: PlaceFigures) -> Cells:
    return (words.amount(place.open_volts, "V"),)


_RANGED = (
    ("nodes", "dc", "V"),
    ("windings", "volts", "V"),
    ("valves", "anode_watts", "W"),
    ("rectifiers", "peak_current", "A"),
)
"""The figures whose ranges are shown: their group, their name, their unit."""


def _ranges(runs: list[Figures]) -> Table:
    """Lowest and highest of the main figures while one guess at a time goes through its range."""
    table = words.ruled("", "figure", "lowest", "highest")
    for figures in runs:
        rows = []
        for path, (low, high) in figures.guessed_range.items():
            group, rest = path.split(".", 1)
            name, _, key = rest.rpartition(".")
            unit = next((u for g, k, u in _RANGED if (g, k) == (group, key)), None)
            if unit is not None and high - low > 0.002 * max(abs(low), abs(high)):
                at = getattr(getattr(figures, group)[name], key)
                shown = f"{name} {key.replace('_', ' ')}"
                rows.append((shown, *(words.amount(value, unit) for value in (at, low, high))))
        if rows:
            words.row(table, figures.name)
        for shown, *cells in rows:
            words.row(table, words.indented(shown), *cells)
    return table


def _sag(sag: Sag) -> Cells:
    fall = (sag.idle - sag.lowest) / sag.idle if sag.idle else 0.0
    return (
        words.amount(sag.idle, "V"),
        words.amount(sag.lowest, "V"),
        f"{100 * fall:.1f} %",
        words.NONE if sag.seconds_down is None else words.duration(sag.seconds_down),
        words.NONE if sag.seconds_back is None else words.duration(sag.seconds_back),
    )


def _warming(report: Report) -> Table:
    """Volts of the positive nodes and current of the valves, moment by moment; cathode emission beside."""
    moments = warm_up.moments(report.figures)
    last = moments[-1] if moments else None
    rails = [name for name, node in last.nodes.items() if node.dc > 0] if last else []
    cathodes, loads = (list(last.emission), list(last.valves)) if last else ([], [])
    table = words.ruled(
        "After",
        *(words.plain(name.removeprefix("rectifiers.")) for name in cathodes),
        *(words.plain(name) for name in rails),
        *(words.plain(f"{name}, mA each") for name in loads),
    )
    for each in moments:
        words.row(
            table,
            words.duration(each.seconds),
            *(f"{100 * each.emission[name]:.0f} %" for name in cathodes),
            *(words.volts(each.nodes[name].dc) for name in rails),
            *(f"{1000 * each.valves[name].anode_current:.1f}" for name in loads),
        )
    return table


def _cores(runs: list[Figures]) -> Table:
    table = words.ruled("Condition", "flux, of rated", "offset", "magnetising", "loss")
    for figures in runs:
        if figures.core is not None:
            words.row(
                table,
                figures.name,
                f"{100 * figures.core.flux:.0f} %",
                f"{100 * figures.core.offset:.1f} %",
                words.amount(figures.core.magnetising, "A"),
                words.amount(figures.core.watts, "W"),
            )
    return table


def _relays(report: Report) -> Table:
    """At which mains each relay pulls in; the volts on it at the lowest mains."""
    table = words.ruled("Relay", "needs", "pulls in at", "valves out", "at low mains", "verdict")
    for relay in report.relays:
        words.row(
            table,
            relay.name,
            words.amount(relay.pull_in, "V"),
            words.amount(relay.pull_in_mains, "V"),
            words.amount(relay.pull_in_mains_valves_out, "V"),
            words.amount(relay.at_low_mains, "V"),
            words.verdict_text(relay_verdict(report, relay)),
        )
    return table


def _discharge(discharge: Discharge) -> Cells:
    bled = "bled" if discharge.bled else "nothing bleeds it"
    return words.amount(discharge.start_volts, "V"), words.duration(discharge.seconds_to_60_v), bled


def _mains(runs: list[Figures]) -> Table:
    table = words.ruled("Condition", "wall", "A RMS", "A peak", "watts", "VA")
    for figures in runs:
        drawn = figures.mains_supply
        if drawn is not None:
            words.row(
                table,
                figures.name,
                words.amount(drawn.volts, "V"),
                words.amount(drawn.rms_current, "A"),
                words.amount(drawn.peak_current, "A"),
                words.amount(drawn.watts, "W"),
                words.amount(drawn.volt_amperes, "VA"),
            )
    return table
