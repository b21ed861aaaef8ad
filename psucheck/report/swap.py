"""A transformer swap: the supply as found and as proposed side by side, and the primary taps compared."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from rich.table import Table

from psucheck.checks import bias_range
from psucheck.figures.model import Figures, State
from psucheck.report import view, words
from psucheck.report.view import Report, Tap

Columns = Sequence[tuple[str, Report]]


@dataclass(frozen=True, slots=True)
class Cell:
    """What a column has to say in a row: the text, and the figure in it, by which columns are compared."""

    text: str = words.NONE
    figure: float | None = None


_EMPTY = Cell()
Reading = Callable[[Report], Cell]


def comparison(columns: Columns, *, changes: bool = False) -> Table:
    """One column a report, each at its own wall voltage: what a swap is judged by first, then all nodes.

    Parameters
    ----------
    columns
        (heading, report), as found first; more than two where a proposal is shown more than once, for example
        with the bias untouched and with it reset.
    changes
        Write beside each figure by how much it differs from the first column's.
    """
    table = words.ruled("At the wall voltage", *(heading for heading, _ in columns))
    for label, read in _rows(columns):
        cells = [read(report) for _, report in columns]
        if any(cell.text != words.NONE for cell in cells):
            first = cells[0].figure if changes else None
            words.row(table, label, cells[0].text, *(_beside(first, cell) for cell in cells[1:]))
    return table


def _beside(first: float | None, cell: Cell) -> str:
    """A cell with its change from the first column's figure."""
    told = words.change(first, cell.figure)
    return f"{cell.text} {told}" if told else cell.text


def _rows(columns: Columns) -> list[tuple[str, Reading]]:
    """What a technician asks of a swap, in that order; then the nodes that were not named yet."""
    reports = [report for _, report in columns]
    nodes = _names(reports, view.nodes)
    rails = [node for node in nodes if not _is_bias(reports, node)]
    rows: list[tuple[str, Reading]] = [("mains", _mains)]
    rows += [(f"{node}, {state}", _node(node, state)) for node in rails[:1] for state in _RAIL]
    rows.append(("cold, lowest capacitor", _lowest_capacitor))
    rows += [(f"{name}, idle", _winding_volts(name)) for name in _names(reports, _heater_windings)]
    loads = _names(reports, _output_loads)
    rows += [(f"{name} grids, idle", _bias(name)) for name in loads]
    rows += [(f"{node} to set, pot", _bias_wanted(node)) for node in _names(reports, _pots)]
    rows += [(f"{name} anodes, each, idle", _anode_watts(name)) for name in loads]
    state = _fullest(reports)
    windings = _names(reports, _fed_windings)
    rows += [(f"{name} winding current, {state}", _winding_amps(name, state)) for name in windings]
    rows.append((f"from the mains, {state}", _mains_watts(state)))
    rows += [(f"{node}, {state}", _node(node, state)) for node in rails[1:] for state in _RAIL]
    return rows + [(f"{node}, idle", _node(node, "idle")) for node in nodes if node not in rails]


_RAIL: tuple[State, ...] = ("idle", "cold")


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


def _reading(state: State, unit: str, read: Callable[[Figures], float | None]) -> Reading:
    """Read from the state's figures; a hyphen where they lack what is asked."""

    def reading(report: Report) -> Cell:
        figures = view.at(report, state)
        figure = None if figures is None else read(figures)
        return _EMPTY if figure is None else Cell(words.amount(figure, unit), figure)

    return reading


def _mains(report: Report) -> Cell:
    idle = view.at(report, "idle")
    frequency = words.amount(report.supply.mains.frequency, "Hz")
    return _EMPTY if idle is None else Cell(f"{words.amount(idle.mains, 'V')} {frequency}")


def _lowest_capacitor(report: Report) -> Cell:
    """The volts with nothing drawing on the capacitor, or string, of the lowest rating on any B+ node."""
    cold = view.at(report, "cold")
    rated = [
        (capacitor.string_voltage, name)
        for name, node in report.supply.filter.items()
        if (capacitor := node.capacitor) is not None and capacitor.string_voltage is not None
        if cold is not None and name in cold.nodes and cold.nodes[name].dc > 0
    ]
    if cold is None or not rated:
        return _EMPTY
    limit, name = min(rated, key=lambda each: each[0])
    volts = cold.nodes[name].dc
    return Cell(f"{words.amount(volts, 'V')} of {words.amount(limit, 'V')}", volts)


def _node(name: str, state: State) -> Reading:
    return _reading(state, "V", lambda f: f.nodes[name].dc if name in f.nodes else None)


def _bias(name: str) -> Reading:
    return _reading("idle", "V", lambda f: f.valves[name].bias if name in f.valves else None)


def _pots(report: Report) -> list[str]:
    """The bias nodes of which it was judged whether the pot reaches what is wanted."""
    return [found.subject for found in report.findings if found.rule == bias_range.ID]


def _bias_wanted(node: str) -> Reading:
    """The bias wanted, with the verdict on the pot's reach."""

    def reading(report: Report) -> Cell:
        if report.reset is not None:
            # The column with the bias reset tells it.
            return _EMPTY
        for found in report.findings:
            if found.rule == bias_range.ID and found.subject == node:
                wanted = "" if found.figure is None else f"{words.amount(-abs(found.figure), 'V')} "
                return Cell(f"{wanted}{found.verdict}")
        return _EMPTY

    return reading


def _anode_watts(name: str) -> Reading:
    return _reading("idle", "W", lambda f: f.valves[name].anode_watts if name in f.valves else None)


def _winding_volts(name: str) -> Reading:
    return _reading("idle", "V", lambda f: f.windings[name].volts if name in f.windings else None)


def _winding_amps(name: str, state: State) -> Reading:
    return _reading(state, "A", lambda f: max(f.windings[name].rms_current) if name in f.windings else None)


def _mains_watts(state: State) -> Reading:
    return _reading(state, "W", lambda f: f.mains_supply.watts if f.mains_supply else None)


def taps(rows: Sequence[Tap]) -> Table:
    """A line per primary tap: B+ cold and idle, heaters."""
    heaters = list(dict.fromkeys(name for tap in rows for name in tap.heaters))
    node = rows[0].node if rows else "B+"
    table = words.ruled("Mains tap", f"{node} cold", f"{node} idle", *heaters)
    for tap in rows:
        values = [tap.cold, tap.idle, *(tap.heaters.get(name) for name in heaters)]
        words.row(table, tap.name, *(words.amount(value, "V") for value in values))
    return table
