"""Supplies side by side: the answer of a swap, what findings appear or go, every figure with its change."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from psucheck.checks.finding import Finding
from psucheck.checks.judging import severity
from psucheck.checks.registry import name_of
from psucheck.figures.model import Figures, State
from psucheck.report import swap, view, words
from psucheck.report.swap import Columns
from psucheck.report.view import Report

_SAME = 0.005
"""Share by which a figure must change to be shown without ``--long``."""


@dataclass(frozen=True, slots=True)
class Kind:
    """Figures of one kind, a table of them: which parts have them, and which figure of each."""

    title: str
    unit: str
    parts_of: Callable[[Figures], Mapping[str, Any]]
    figure_of: Callable[[Any], float]
    brief: bool = True
    """Whether it is shown without ``--long``."""
    unloaded: bool = False
    """Whether then with nothing drawing, too: what is interesting there is the volts."""

    @property
    def states(self) -> tuple[State, ...]:
        """The states that are shown without ``--long``."""
        return ("cold", "idle", "full output") if self.unloaded else ("idle", "full output")


def _mains(figures: Figures) -> Mapping[str, Any]:
    return {} if figures.mains_supply is None else {"mains": figures.mains_supply}


KINDS: tuple[Kind, ...] = (
    Kind("Volts DC", "V", lambda f: f.nodes, lambda node: float(node.dc), unloaded=True),
    Kind("Ripple, peak to peak", "V", lambda f: f.nodes, lambda node: float(node.ripple_pp)),
    Kind("Windings, RMS", "A", lambda f: f.windings, lambda winding: max(winding.rms_current)),
    Kind("Rectifiers, peak", "A", lambda f: f.rectifiers, lambda one: float(one.peak_current)),
    Kind("Capacitors, ripple current", "A", lambda f: f.capacitors, lambda one: float(one.ripple_current)),
    Kind("Capacitors, highest volts", "V", lambda f: f.capacitors, lambda one: float(one.max_volts), False),
    Kind("Chokes, DC", "A", lambda f: f.chokes, lambda choke: float(choke.dc), False),
    Kind("Chokes, peak", "A", lambda f: f.chokes, lambda choke: float(choke.peak_current), False),
    Kind("Resistors", "W", lambda f: f.resistors, lambda one: float(one.watts), False),
    Kind("Anodes, each", "W", lambda f: f.valves, lambda valve: float(valve.anode_watts), False),
    Kind("Screens, each", "W", lambda f: f.valves, lambda valve: float(valve.screen_watts), False),
    Kind("Fuses and switches, RMS", "A", lambda f: f.places, lambda place: float(place.rms_current), False),
    Kind("From the mains", "W", _mains, lambda drawn: float(drawn.watts), False),
)


def screen(columns: Columns, *, long: bool = False) -> RenderableType:
    """Supplies side by side, the first being what the others are held against.

    Parameters
    ----------
    columns
        (heading, report) of each; of one with its bias set anew there are two.
    long
        Every figure in every condition, also where it is the same.
    """
    parts: list[RenderableType] = []
    for block in _blocks(columns, long=long):
        parts += [Text(), block] if parts else [block]
    return Group(*parts)


def _blocks(columns: Columns, *, long: bool) -> Iterator[RenderableType]:
    yield Group(*_verdicts(columns))
    yield swap.comparison(columns, changes=True)
    for heading, report in columns:
        if report.taps:
            yield Group(words.heading(heading), swap.taps(report.taps))
    yield from _rules(whole(columns), long=long)
    for kind in KINDS:
        if long or kind.brief:
            table = _figures_table(columns, kind, long=long)
            if table.row_count:
                yield table
    if not long:
        yield Text("Figures within half of one per cent are left out, as are most states: see --long.")
    yield from _cautions(whole(columns))


def whole(columns: Columns) -> Columns:
    """Those of which everything was run: a bias set anew was looked at when idle and at full output only."""
    resets = [report.reset for _, report in columns if report.reset is not None]
    return [(heading, report) for heading, report in columns if not any(report is each for each in resets)]


def _verdicts(columns: Columns) -> Iterator[RenderableType]:
    same = len({report.title for _, report in columns}) == 1
    if same:
        yield Text(words.plain(columns[0][1].title), style="bold")
    for heading, report in whole(columns):
        own = "" if same else f" ({report.title})"
        said = view.headline(report)
        style = words.STYLES["over" if view.counts(report.findings)["over"] else "ok"]
        yield words.Fitting(f"{heading}{own}", heading, style="bold")
        yield words.Fitting(f"  {said}", style=style, cut=False)


@dataclass(frozen=True, slots=True)
class Judged:
    """One thing that is judged, and what the rules say of it in each supply (None: nothing)."""

    name: str
    findings: tuple[Finding | None, ...]

    @property
    def differs(self) -> bool:
        """Whether the verdicts differ."""
        return len({None if one is None else one.verdict for one in self.findings}) > 1

    @property
    def matters(self) -> bool:
        """Whether it is over, marginal or accepted anywhere, or not checked in one of them only."""
        verdicts = {None if one is None else one.verdict for one in self.findings} - {None, "ok"}
        return bool(verdicts) and (self.differs or verdicts != {"not checked"})


def judged(columns: Columns) -> list[Judged]:
    """All that is judged in any of the supplies, what is worst anywhere first.

    Of several findings of a rule on one subject (anode and screen watts of a valve) each has its line; they
    keep their order by severity.
    """
    tables = [_by_name(report) for _, report in columns]
    names = dict.fromkeys(name for table in tables for name in table)
    lines = [Judged(name[0], tuple(table.get(name) for table in tables)) for name in names]
    return sorted(lines, key=lambda line: min(severity(one) for one in line.findings if one is not None))


def _by_name(report: Report) -> dict[tuple[str, int, str], Finding]:
    found: dict[tuple[str, int, str], Finding] = {}
    for finding in report.findings:
        number = 0
        while (key := (name_of(finding), number, finding.unit)) in found:
            number += 1
        found[key] = finding
    return found


def _rules(columns: Columns, *, long: bool) -> Iterator[RenderableType]:
    """Verdict and margin of what appears, goes or changes, or is over; with ``long`` of all that matters."""
    table = words.ruled("What the rules say", *(heading for heading, _ in columns))
    left = 0
    for line in judged(columns):
        over = any(finding is not None and finding.verdict == "over" for finding in line.findings)
        if line.matters and (line.differs or over or long):
            words.row(table, line.name, *(_said(finding) for finding in line.findings))
        elif line.matters:
            left += 1
    parts: list[RenderableType] = [table] if table.row_count else []
    if left:
        parts.append(
            Text(f"Alike in all, see --long: {left} more that are marginal, accepted or not checked.")
        )
    elif not parts:
        parts.append(Text("No rule finds anything, and none says otherwise in one than in another."))
    yield Group(*parts)


def _said(finding: Finding | None) -> Text:
    if finding is None:
        return Text(words.NONE)
    text = words.verdict_text(finding.verdict)
    apart = words.excess(finding, brief=True)
    if finding.verdict == "over":
        apart = apart.removesuffix(" over")
    return Text.assemble(text, f", {apart}") if apart else text


def _shown(columns: Columns, kind: Kind, *, long: bool) -> Iterator[tuple[str, str, list[float | None]]]:
    """(part, condition, figure in each column) of every row of a kind."""
    reports = [report for _, report in columns]
    parts = dict.fromkeys(part for r in reports for f in r.figures.values() for part in kind.parts_of(f))
    for part in parts:
        for condition, runs in _alike(reports, kind, long=long):
            yield (
                part,
                condition,
                [
                    kind.figure_of(kind.parts_of(run)[part])
                    if run is not None and part in kind.parts_of(run)
                    else None
                    for run in runs
                ],
            )


def _alike(
    reports: Sequence[Report], kind: Kind, *, long: bool
) -> Iterator[tuple[str, list[Figures | None]]]:
    """Conditions by their names, each supply at its own mains; the main ones alone unless ``long``.

    Moments of a warm-up come at other times in other supplies; the way down has no averages.
    """
    level = view.table_level(reports[0])
    for name, first in reports[0].figures.items():
        if first.state.startswith(("switch-off", "warm-up")):
            continue
        at_level = first.level == level and first.state in kind.states
        if long or at_level or (first.state == "valves out" and first.level == "high" and kind.unloaded):
            yield name, [report.figures.get(name) for report in reports]


def _figures_table(columns: Columns, kind: Kind, *, long: bool) -> Table:
    headings = [columns[0][0], *(heading for heading, _ in columns[1:])]
    table = words.ruled(kind.title, *headings)
    last = None
    for part, condition, figures in _shown(columns, kind, long=long):
        first, others = figures[0], figures[1:]
        if not any(_tells(first, other, kind.unit, long=long) for other in others):
            continue
        if part != last and part != "mains":
            words.row(table, Text(words.plain(part), style="bold"))
        last = part
        cells = [_changed(first, other, kind.unit) for other in others]
        words.row(table, words.indented(condition), words.amount(first, kind.unit), *cells)
    return table


def _tells(first: float | None, other: float | None, unit: str, *, long: bool) -> bool:
    """Whether a figure is worth a line: it is there, and it changed."""
    if first is None or other is None:
        return first is not other
    if _is_nothing(first, unit) and _is_nothing(other, unit):
        return False
    return long or abs(other - first) > _SAME * max(abs(first), abs(other))


def _changed(first: float | None, other: float | None, unit: str) -> str:
    shown = words.amount(other, unit)
    if _is_nothing(first, unit) or _is_nothing(other, unit):
        return shown
    return f"{shown} {words.change(first, other)}".rstrip()


def _is_nothing(figure: float | None, unit: str) -> bool:
    """Whether a figure is next to nothing, so that its change says nothing either."""
    return words.amount(figure, unit) == words.amount(0.0, unit)


def _cautions(columns: Columns) -> Iterator[RenderableType]:
    """The cautions of every supply with its own numbers; what holds for all of them is said once."""
    common = [c for c in columns[0][1].cautions if all(c in report.cautions for _, report in columns)]
    for heading, report in columns:
        own = [caution for caution in report.cautions if caution not in common]
        if own:
            lead = f"Cautions, {words.plain(heading)}." if len(columns) > 1 else "Cautions."
            yield Text.assemble((lead, "bold"), " " + " ".join(map(words.plain, own)))
    if common:
        lead = "Cautions, all of them." if len(columns) > 1 else "Cautions."
        yield Text.assemble((lead, "bold"), " " + " ".join(map(words.plain, common)))


def as_json(columns: Columns) -> dict[str, Any]:
    """Figures and findings side by side: a value a supply, in the columns' order; null where it has none."""
    reports = [report for _, report in columns]
    figures = []
    for kind in KINDS:
        for part, condition, values in _shown(columns, kind, long=True):
            changes = [None if values[0] is None or value is None else value - values[0] for value in values]
            figures.append(
                {"kind": kind.title.lower(), "part": part, "condition": condition, "unit": kind.unit,
                 "values": values, "changes": changes}
            )  # fmt: skip
    findings = [
        {
            "name": line.name,
            "verdicts": [None if one is None else one.verdict for one in line.findings],
            "margins": [None if one is None else one.margin for one in line.findings],
            "differs": line.differs,
        }
        for line in judged(whole(columns))
    ]
    return {
        "columns": [heading for heading, _ in columns],
        "judged": [heading for heading, _ in whole(columns)],
        "mains": [None if (idle := view.at(report, "idle")) is None else idle.mains for report in reports],
        "figures": figures,
        "findings": findings,
    }
