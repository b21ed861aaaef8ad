"""What trying values came to as a graph: SVG, its text as text, the same bytes for the same figures."""

from __future__ import annotations

import io
from collections.abc import Callable, Sequence
from typing import Any

from psucheck.report import words
from psucheck.report.trial import Outcome, Row, Trial

Curve = tuple[str, list[Row]]

_SIGNS = {"over": ("X", "#b00020"), "marginal": ("^", "#b26a00"), "nothing over": ("o", "#1b5e20")}
"""Verdict -> marker and colour: the marker alone carries the meaning."""
_MOST_CURVES = 12


def svg(trial: Trial) -> str:
    """A panel each for B+, its ripple, the rectifier's peak and the least margin, over the values tried.

    The first path's values stand along the bottom, in their order; every combination of the others is a
    curve.
    """
    # matplotlib takes half a second to load.
    import matplotlib
    from matplotlib.backends.backend_svg import FigureCanvasSVG
    from matplotlib.figure import Figure

    rail = next((row.outcome.rail for row in trial.all if row.outcome.rail), None) or "B+"
    panels: tuple[tuple[str, Callable[[Outcome], float | None]], ...] = (
        (f"{rail} [V]", lambda came: came.volts),
        (f"{rail}, ripple p-p [V]", lambda came: came.ripple),
        ("rectifier's peak [A]", lambda came: came.peak),
        ("least margin [%]", _margin),
    )
    settings: Any = {
        "svg.fonttype": "none",
        "svg.hashsalt": "psucheck",
        "text.parse_math": False,
        "font.size": 9,
    }
    with matplotlib.rc_context(settings):
        curves, labels = _curves(trial)
        wide = max(7.0, 0.45 * len(labels) + 3.0)
        figure = Figure(figsize=(min(wide, 40.0), 9.0), layout="constrained")
        FigureCanvasSVG(figure)
        axes = figure.subplots(len(panels), 1, sharex=True)
        for axis, (label, figure_of) in zip(axes, panels, strict=True):
            _panel(axis, label, figure_of, curves, labels)
        axes[-1].axhline(0.0, color="#b00020", linewidth=0.8, linestyle="--")
        axes[-1].set_xticks(range(len(labels)), labels, rotation=30 if len(labels) > 4 else 0, ha="right")
        axes[-1].set_xlabel(words.plain(trial.paths[0]))
        if len(curves) > 1:
            axes[0].legend(fontsize=7)
        figure.suptitle(f"{words.plain(trial.title)}\n{_key()}", fontsize=9)
        file = io.StringIO()
        figure.savefig(file, format="svg", metadata={"Date": None, "Creator": "psucheck"})
    return file.getvalue()


def _key() -> str:
    return "circle: nothing over; triangle: marginal; cross: over. At full output, or idle without one"


def _margin(came: Outcome) -> float | None:
    if came.worst is None or came.worst.margin is None:
        return None
    return 100.0 * came.worst.margin


def _curves(trial: Trial) -> tuple[list[Curve], list[str]]:
    """A curve for each combination of all paths but the first, as tried; labels along the bottom."""
    curves: dict[str, list[Row]] = {}
    labels: dict[str, None] = {}
    for row in sorted(trial.rows, key=lambda row: row.number):
        (_, first), *others = row.values
        labels[first] = None
        curves.setdefault("; ".join(value for _, value in others), []).append(row)
    return list(curves.items())[:_MOST_CURVES], list(labels)


def _panel(
    axis: Any,
    label: str,
    figure_of: Callable[[Outcome], float | None],
    curves: Sequence[Curve],
    labels: Sequence[str],
) -> None:
    """One figure over the values; points that could not be run leave a gap."""
    for name, rows in curves:
        shown = [(labels.index(row.values[0][1]), figure_of(row.outcome), row) for row in rows]
        places = [(x, y, row) for x, y, row in shown if y is not None]
        axis.plot(
            [x for x, _, _ in places], [y for _, y, _ in places], linewidth=1.0, label=words.plain(name)
        )
        for x, y, row in places:
            marker, colour = _SIGNS[_verdict(row.outcome)]
            axis.plot([x], [y], marker=marker, color=colour, linestyle="none", markersize=6)
    axis.set_ylabel(words.plain(label))
    axis.grid(visible=True, linewidth=0.3)


def _verdict(came: Outcome) -> str:
    if came.over:
        return "over"
    return "marginal" if came.marginal else "nothing over"
