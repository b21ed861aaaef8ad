"""A supply wound up on the bench: what every point reads at each setting, and within which band."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from psucheck.bench.meter import error, meter_of
from psucheck.bench.points import Point, points
from psucheck.bench.practice import rule
from psucheck.bench.runs import Setting, outcomes_at
from psucheck.bench.spread import Spread, spread
from psucheck.bench.values import values
from psucheck.circuit.condition import Readings
from psucheck.conditions.run import Outcome
from psucheck.engine.pool import Runner
from psucheck.figures.measure import measure_coarse
from psucheck.figures.model import Figures
from psucheck.report.sheet_view import Expected
from psucheck.supply.filled import FilledSupply


@dataclass(frozen=True)
class WoundUp:
    """A supply at several settings.

    Attributes
    ----------
    figures, values
        By setting: the figures, and what a meter shows at each live point [SI].
    spread
        How sound parts move the points.
    """

    filled: FilledSupply
    readings: Readings
    figures: dict[Setting, Figures]
    values: dict[Setting, dict[str, float]]
    spread: Spread

    @property
    def points(self) -> dict[str, Point]:
        """Every test point by its name."""
        return {point.name: point for point in points(self.filled)}

    def expected(self, setting: Setting, name: str, plain: float | None = None) -> Expected:
        """What a point should read at a setting; no number where it has none."""
        point = self.points[name]
        unit, leads = point.unit, (point.red, point.black)
        value = self.values[setting].get(name)
        if value is None:
            return Expected(name, unit, None, None, None, None, *leads)
        low, high = self.band(setting, name)
        return Expected(name, unit, value, low, high, plain, *leads)

    def band(self, setting: Setting, name: str) -> tuple[float, float]:
        """Least and greatest that a sound supply shows there, on the meter of the description [SI].

        The ends of the parts' spread, each as far out again as the meter may be off. AC that is next to
        nothing beside the DC it stands on has no lower end, and an upper one by practice.
        """
        value = self.values[setting][name]
        below, above = self.spread.limits(setting, name)
        ends = sorted((value * below, value * above))
        meter = meter_of(self.filled.supply)
        low, high = ends[0] - error(meter, ends[0]), ends[1] + error(meter, ends[1])
        if self.points[name].kind == "node AC":
            nothing = rule("rail.ac-sound") * abs(self.figures[setting].nodes[self.points[name].of].dc)
            if value < nothing:
                return 0.0, max(high, nothing + error(meter, nothing))
        return (max(low, 0.0), high) if value >= 0 else (low, min(high, 0.0))


def with_settings(up: WoundUp, settings: Sequence[Setting], pool: Runner) -> WoundUp:
    """``up`` with more settings, whose bands are those of the nearest that was varied.

    Raises
    ------
    SimulationError
        If a run fails, or breaks a conservation law.
    """
    if not settings:
        return up
    outcomes = outcomes_at(up.filled, up.readings, settings, pool)
    figures = {setting: measure_coarse(outcome) for setting, outcome in outcomes.items()}
    read = {setting: values(up.filled, up.readings, each) for setting, each in figures.items()}
    return replace(up, figures={**up.figures, **figures}, values={**up.values, **read})


def wind_up(
    filled: FilledSupply,
    readings: Readings,
    settings: Sequence[Setting],
    pool: Runner,
    *,
    follow: Sequence[Setting] | None = None,
) -> WoundUp:
    """Run ``settings``, and vary the parts at ``follow``: if None, one a state, at its highest mains.

    Raises
    ------
    SimulationError
        If a run fails, or breaks a conservation law.
    """
    outcomes = outcomes_at(filled, readings, settings, pool)
    highest: dict[str, Setting] = {}
    for setting in sorted(outcomes, key=lambda each: each.volts):
        highest[setting.state] = setting
    varied: dict[Setting, Outcome] = {
        setting: outcomes[setting] for setting in (highest.values() if follow is None else follow)
    }
    figures = {setting: measure_coarse(outcome) for setting, outcome in outcomes.items()}
    return WoundUp(
        filled,
        readings,
        figures,
        {setting: values(filled, readings, each) for setting, each in figures.items()},
        spread(filled, readings, varied, pool),
    )
