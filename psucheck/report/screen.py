"""The first screen: the verdict, what is over and what to do, volts, what was not checked, the cautions."""

from __future__ import annotations

import re
from collections.abc import Iterator

from rich.console import Console, ConsoleOptions, Group, RenderableType, RenderResult
from rich.table import Table
from rich.text import Text

from psucheck.checks.finding import Finding
from psucheck.report import cures, own_limits, swap, view, words
from psucheck.report.view import Report
from psucheck.report.words import plain

_LINES = 24
_MOST_MEASUREMENTS = 4
_WORD_WIDTH = len("marginal")


def screen(report: Report, *, hint: bool = True) -> RenderableType:
    """The first screen of ``report``; ``hint`` points to ``--long``."""
    return _Blocks(list(_blocks(report, hint)))


class _Blocks:
    """Blocks with a blank line between them, unless it is the blank lines that make them too long."""

    def __init__(self, blocks: list[RenderableType]) -> None:
        self.blocks = blocks

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> RenderResult:
        lines = sum(len(console.render_lines(block, options)) for block in self.blocks)
        blanks = len(self.blocks) - 1
        spaced = not lines <= _LINES < lines + blanks
        for index, block in enumerate(self.blocks):
            if spaced and index:
                yield Text()
            yield block


def _blocks(report: Report, hint: bool) -> Iterator[RenderableType]:
    title = Text(plain(report.title), style="bold")
    yield Group(title, _verdict(report, hint), *own_limits.headlines(report), *_judged(report))
    of_found = report.found.own_parts if report.found is not None else ()
    if own := list(dict.fromkeys((*report.own_parts, *of_found))):
        yield Text(plain(f"Own parts: {'; '.join(own)}."))
    if report.remarks:
        yield Group(Text("Look at the description again:", style="bold"), *map(_item, report.remarks))
    if report.found is not None:
        columns = [("as found", report.found), ("proposed", report)]
        if report.reset is not None:
            columns.append(("bias reset", report.reset))
        yield swap.comparison(columns)
    if report.taps:
        yield swap.taps(report.taps)
    if view.nodes(report):
        yield _volts(report)
    notes = [*_not_checked(report), *_cautions(report)]
    if notes:
        yield Group(*notes)


def _verdict(report: Report, hint: bool) -> RenderableType:
    tally = view.counts(report.findings)
    if tally["over"]:
        style = words.STYLES["over"]
    elif tally["marginal"] or not tally["ok"] or tally["not checked"]:
        style = "bold"
    else:
        style = words.STYLES["ok"]
    said = view.headline(report)
    if not hint:
        return words.Fitting(said, style=style, cut=False)
    guesses, defaults = (
        words.plural(sum(assumption.kind == kind for assumption in report.assumptions), kind)
        for kind in ("guess", "default")
    )
    return words.Fitting(
        f"{said}; {guesses}, {defaults} (see --long)",
        f"{said}; {guesses} (--long)",
        f"{said} (--long)",
        said,
        style=style,
        cut=False,
    )


def _judged(report: Report) -> Iterator[RenderableType]:
    """What is over, in full; what is marginal and what was accepted, a line each."""
    table = Table.grid(padding=(0, 2, 0, 0))
    table.add_column(width=_WORD_WIDTH, no_wrap=True)
    table.add_column(ratio=1)
    table.expand = True
    for finding in view.worst_first(report.findings, "over"):
        table.add_row(words.verdict_text("over"), _in_full(finding))
        _add_cure(table, finding)
    for finding in view.worst_first(report.findings, "marginal"):
        table.add_row(words.verdict_text("marginal"), _brief(finding, finding.condition))
        _add_cure(table, finding)
    for finding in view.worst_first(report.findings, "accepted"):
        reason = report.supply.accepted.get(f"{finding.rule} {finding.subject}")
        table.add_row(words.verdict_text("accepted"), _brief(finding, reason and f'"{reason}"'))
    if table.row_count:
        yield table
    if (all_in := cures.together(report)) is not None:
        yield all_in


def _add_cure(table: Table, finding: Finding) -> None:
    said = cures.text(finding)
    if said is not None:
        table.add_row("", said)


def _in_full(finding: Finding) -> Text:
    """Where, when, figure, limit, what to do."""
    text = Text.assemble((words.place(finding), "bold"))
    if finding.condition:
        text.append(f"; {plain(finding.condition)}")
    text.append("\n")
    figures = ": ".join(part for part in (words.against(finding), words.excess(finding)) if part)
    doubt = " (uncertain: a guess, or a value from memory)" if finding.guessed else ""
    said = [f"{figures}{doubt}." if figures else plain(finding.why)]
    if finding.change:
        said.append(plain(finding.change))
    said += own_limits.named(finding)
    text.append(" ".join(said))
    return text


def _brief(finding: Finding, last: str | None) -> words.Fitting:
    """One line: figure and limit, then what may be left out where room is short."""
    place = words.place(finding)
    figures = words.against(finding)
    if not figures:
        yours = " (your limit)" if finding.own_limits else ""
        return words.Fitting(*(f"{place}{yours}: {said}" for said in _shorter(finding.why)), cut=False)
    doubt = " (uncertain)" if finding.guessed else ""
    doubt += " (your limit)" if finding.own_limits else ""
    apart = words.excess(finding, brief=True)
    bare = f"{place}: {figures}{doubt}"
    fuller = f"{place}: {figures}, {apart}{doubt}" if apart else bare
    return words.Fitting(*([f"{fuller}; {last}"] if last else []), fuller, bare, cut=False)


def _shorter(text: str) -> Iterator[str]:
    """A text, its first sentence, and that up to its first bracket or comma."""
    first = text.split(". ")[0].rstrip(".")
    yield from (text, f"{first}.", f"{re.split(' [(]|[,;] ', first)[0]}.")


def _item(text: str) -> RenderableType:
    grid = Table.grid(padding=(0, 1, 0, 0))
    grid.add_column(width=1)
    grid.add_column()
    words.row(grid, "-", text)
    return grid


def _volts(report: Report) -> RenderableType:
    """Volts by node: cold, idle and full output at the wall voltage, and the worst of all conditions."""
    shown = [view.at(report, state) for state in ("cold", "idle", "full output")]
    mains = next((figures.mains for figures in shown if figures is not None), None)
    level = view.table_level(report)
    title = "Volts DC" if mains is None else f"Volts DC, {level} {words.amount(mains, 'V')}"
    table = Table.grid(padding=(0, 2, 0, 0))
    table.add_column(Text(title), overflow="fold", min_width=len(title))
    for name in ("cold", "idle", "full"):
        table.add_column(Text(name), justify="right", no_wrap=True, min_width=5)
    table.add_column(Text("worst case"), overflow="fold")
    table.show_header = True
    table.header_style = "bold"
    for node in view.nodes(report):
        cells = [
            words.volts(figures.nodes[node].dc if figures is not None and node in figures.nodes else None)
            for figures in shown
        ]
        worst = view.extreme(report, node)
        told = words.NONE if worst is None else f"{words.volts(worst.volts)}  {worst.condition}"
        words.row(table, node, *cells, Text(told))
    return table


def _not_checked(report: Report) -> Iterator[RenderableType]:
    """One block: the measurements that would settle most, and what no measurement settles."""
    groups, rest = view.by_measurement(report.findings)
    settled = sum(len(findings) for _, findings in groups)
    total = settled + len(rest)
    if not total:
        return
    text = Text.assemble((f"Not checked: {total}.", words.STYLES["not checked"]))
    if groups:
        verb = "settles" if len(groups) == 1 else "settle"
        noun = "measurement" if len(groups) == 1 else "measurements"
        count = words.number(len(groups)).capitalize()
        text.append(f" {count} {noun} {verb} {words.of_these(settled, total)}: ")
        text.append("; ".join(_measurements(groups)) + ".")
    for finding in rest:
        text.append(f" {words.place(finding)}: {_sentence(finding.why)}")
    yield text


def _measurements(groups: list[tuple[str, list[Finding]]]) -> Iterator[str]:
    for measure, findings in groups[:_MOST_MEASUREMENTS]:
        yield f"{plain(measure).rstrip('.')} ({len(findings)})"
    left = groups[_MOST_MEASUREMENTS:]
    if left:
        yield f"and {len(left)} more ({sum(len(findings) for _, findings in left)}), see --long"


def _sentence(text: str) -> str:
    flat = plain(text)
    return flat if flat.endswith((".", "!", "?")) else f"{flat}."


def _cautions(report: Report) -> Iterator[RenderableType]:
    """All of them, always; they begin with the highest voltage, which is told even where none applies."""
    if report.cautions:
        said = " ".join(_sentence(caution) for caution in report.cautions)
        yield Text.assemble(("Cautions.", "bold"), f" {said}")
        return
    highest = view.highest(report)
    if highest is not None:
        volts = words.amount(highest.volts, "V")
        yield Text(f"Highest voltage: {volts} DC at {plain(highest.node)}; {plain(highest.condition)}.")
