"""A transformer swap: the supply as found and as proposed side by side, and the primary taps compared."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from rich.table import Table

from psucheck.checks import bias_range
from psucheck.figures.model import Figures, State
from psucheck.report import view, words
from psucheck.report.view import Report, Tap

Columns = Sequence[tuple[str, Report]]
Reading = Callable[[Report], str]


def comparison(columns: Columns) -> Table:
    """One column a report, each at its own wall voltage: volts, bias, heaters, watts, currents.

    Parameters
    ----------
    columns
        (heading, report), as found first; more than two where a proposal is shown more than once, for example
        with the bias untouched and with it reset.
    """
    table = words.ruled("At the wall voltage", *(heading for heading, _ in columns))
    for label, read in _rows(columns):
        cells = [read(report) for _, report in columns]
        if any(cell != words.NONE for cell in cells):
            words.row(table, label, *cells)
    return table


def _rows(columns: Columns) -> list[tuple[str, Reading]]:
    reports = [report for _, report in columns]
    rows: list[tuple[str, Reading]] = [("mains", _mains)]
    for node in _names(reports, view.nodes):
        states: tuple[State, ...] = ("idle",) if _is_bias(reports, node) else ("cold", "idle")
        rows += [(f"{node}, {state}", _node(node, state)) for state in states]
    loads = _names(reports, _output_loads)
    rows += [(f"{name} grids, idle", _bias(name)) for name in loads]
    rows += [(f"{node} to set, pot", _bias_wanted(node)) for node in _names(reports, _pots)]
    rows += [(f"{name} anodes, each, idle", _anode_watts(name)) for name in loads]
    rows += [(f"{name}, idle", _winding_volts(name)) for name in _names(reports, _heater_windings)]
    state = _fullest(reports)
    windings = _names(reports, _fed_windings)
    rows += [(f"{name} winding current, {state}", _winding_amps(name, state)) for name in windings]
    return [*rows, (f"from the mains, {state}", _mains_watts(state))]


def _names(reports: Sequence[Report], list_of: Callable[[Report], list[str]]) -> list[str]:
    """Names of all reports, each once, in order."""
    return list(dict.fromkeys(name for report in reports for name in list_of(report)))


def _is_bias(reports: Sequence[Report], node: str) -> bool:
    idle = [figures for report in reports if (figures := view.at(report, "idle")) is not None]
    return any(node in figures.nodes and figures.nodes[node].dc < 0 for figures in idle)


def _output_loads(report: Report) -> list[str]:
    idle = view.at(report, "idle")
    return [] if idle is None else list(idle.valves)


def _fed_windings(report: Report) -> list[str]:
    """The windings that feed a rectifier, in the description's order."""
    feeding = {rectifier.winding for rectifier in report.supply.rectifiers.values()}
    return [name for name in report.supply.windings if name in feeding]


def _heater_windings(report: Report) -> list[str]:
    """The windings that feed no rectifier."""
    feeding = _fed_windings(report)
    return [name for name in report.supply.windings if name not in feeding]


def _fullest(reports: Sequence[Report]) -> State:
    """The heaviest steady state that every report holds."""
    if all(view.at(report, "full output") is not None for report in reports):
        return "full output"
    return "idle"


def _reading(state: State, read: Callable[[Figures], str | None]) -> Reading:
    """Read from the state's figures; a hyphen where they lack what is asked."""

    def reading(report: Report) -> str:
        figures = view.at(report, state)
        return words.NONE if figures is None else read(figures) or words.NONE

    return reading


def _mains(report: Report) -> str:
    idle = view.at(report, "idle")
    frequency = words.amount(report.supply.mains.frequency, "Hz")
    return words.NONE if idle is None else f"{words.amount(idle.mains, 'V')} {frequency}"


def _node(name: str, state: State) -> Reading:
    return _reading(state, lambda f: words.amount(f.nodes[name].dc, "V") if name in f.nodes else None)


def _bias(name: str) -> Reading:
    return _reading("idle", lambda f: words.amount(f.valves[name].bias, "V") if name in f.valves else None)


def _pots(report: Report) -> list[str]:
    """The bias nodes of which it was judged whether the pot reaches what is wanted."""
    return [found.subject for found in report.findings if found.rule == bias_range.ID]


def _bias_wanted(node: str) -> Reading:
    """The bias wanted, with the verdict on the pot's reach."""

    def reading(report: Report) -> str:
        if report.reset is not None:
            # The column with the bias reset tells it.
            return words.NONE
        for found in report.findings:
            if found.rule == bias_range.ID and found.subject == node:
                wanted = "" if found.figure is None else f"{words.amount(-abs(found.figure), 'V')} "
                return f"{wanted}{found.verdict}"
        return words.NONE

    return reading


def _anode_watts(name: str) -> Reading:
    return _reading(
        "idle", lambda f: words.amount(f.valves[name].anode_watts, "W") if name in f.valves else None
    )


def _winding_volts(name: str) -> Reading:
    return _reading(
        "idle", lambda f: words.amount(f.windings[name].volts, "V") if name in f.windings else None
    )


def _winding_amps(name: str, state: State) -> Reading:
    return _reading(
        state, lambda f: words.amount(max(f.windings[name].rms_current), "A") if name in f.windings else None
    )


def _mains_watts(state: State) -> Reading:
    return _reading(state, lambda f: words.amount(f.mains_supply.watts, "W") if f.mains_supply else None)


def taps(rows: Sequence[Tap]) -> Table:
    """A line per primary tap: B+ cold and idle, heaters."""
    heaters = list(dict.fromkeys(name for tap in rows for name in tap.heaters))
    node = rows[0].node if rows else "B+"
    table = words.ruled("Mains tap", f"{node} cold", f"{node} idle", *heaters)
    for tap in rows:
        values = [tap.cold, tap.idle, *(tap.heaters.get(name) for name in heaters)]
        words.row(table, tap.name, *(words.amount(value, "V") for value in values))
    return table
