"""All rules, and the one call that runs them."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from psucheck.checks import (
    bias_loss,
    bias_range,
    capacitor_life,
    capacitor_ripple_current,
    capacitor_sharing,
    capacitor_voltage,
    cathode_current,
    choke_current,
    core_drive,
    critical_inductance,
    fault_clearing,
    fuse_breaking,
    fuse_inrush,
    fuse_running,
    fuse_voltage,
    heater_cathode,
    heater_voltage,
    inrush_limiter,
    ladder_resonance,
    loaded_voltage,
    mains_dip,
    node_ripple,
    rectifier_first_capacitor,
    rectifier_hot_switching,
    rectifier_mean_current,
    rectifier_peak_current,
    rectifier_reverse_voltage,
    rectifier_source_resistance,
    regulation,
    relay_pull_in,
    resistor_power,
    resistor_pulse,
    resistor_voltage,
    standby_switch,
    valve_dissipation,
    valve_voltage,
    winding_current,
)
from psucheck.checks.case import Case, Rule
from psucheck.checks.finding import Finding
from psucheck.checks.judging import severity
from psucheck.checks.limits import Limits
from psucheck.parts import in_force

RULES: tuple[Rule, ...] = (
    capacitor_voltage,
    capacitor_sharing,
    capacitor_ripple_current,
    capacitor_life,
    node_ripple,
    loaded_voltage,
    regulation,
    rectifier_reverse_voltage,
    rectifier_mean_current,
    rectifier_peak_current,
    rectifier_hot_switching,
    rectifier_first_capacitor,
    rectifier_source_resistance,
    winding_current,
    core_drive,
    heater_voltage,
    heater_cathode,
    relay_pull_in,
    standby_switch,
    choke_current,
    critical_inductance,
    ladder_resonance,
    resistor_power,
    resistor_voltage,
    resistor_pulse,
    valve_voltage,
    valve_dissipation,
    cathode_current,
    bias_range,
    bias_loss,
    fuse_running,
    fuse_inrush,
    fuse_voltage,
    fuse_breaking,
    fault_clearing,
    inrush_limiter,
    mains_dip,
)
"""The rules, in the order of the manual. A new rule is a module, a test, and a line here."""


@dataclass(frozen=True, slots=True)
class CrashedFinding(Finding):
    """Stands for a rule that raised: ``not checked``, and the run's exit status is 3."""


class UnmatchedAccepted(ValueError):
    """``[accepted]`` names what no rule found.

    Attributes
    ----------
    name, nearest
        The key as written, and the finding's name nearest to it, if any is near.
    """

    def __init__(self, name: str, nearest: str | None) -> None:
        hint = f'; the nearest is "{nearest}"' if nearest else ""
        super().__init__(f'[accepted] "{name}" names no finding (write "rule-id subject"){hint}')
        self.name = name
        self.nearest = nearest


def judge_all(case: Case, limits: Limits, rules: Iterable[Rule] = RULES) -> list[Finding]:
    """What every rule says of ``case``: what is over first, each verdict by its margin, worst first.

    A rule that raises gives one :class:`CrashedFinding` in place of its findings.

    Raises
    ------
    UnmatchedAccepted
        ``[accepted]`` names no finding.
    """
    with in_force(case.supply.library):
        findings = [finding for rule in rules for finding in _judged(rule, case, limits)]
    return sorted(_accept(findings, case.supply.accepted), key=severity)


def name_of(finding: Finding) -> str:
    """What a finding is called in ``[accepted]``: rule and subject."""
    return f"{finding.rule} {finding.subject}"


def _judged(rule: Rule, case: Case, limits: Limits) -> list[Finding]:
    try:
        return list(rule.judge(case, limits))
    except Exception as error:  # noqa: BLE001 - whatever a rule raises, the others are still heard
        return [
            CrashedFinding(
                rule=rule.ID,
                subject="all",
                condition=None,
                verdict="not checked",
                why=f"The rule itself failed: {type(error).__name__}: {error}".rstrip(": "),
                source="",
                measure="report this with the description: no measurement settles it",
            )
        ]


def _accept(findings: list[Finding], accepted: Mapping[str, str]) -> Iterator[Finding]:
    """Findings with those accepted in the file marked so.

    A name of a rule that crashed is let pass: what it would have found is not known.
    """
    crashed = {finding.rule for finding in findings if isinstance(finding, CrashedFinding)}
    names = {name_of(finding) for finding in findings}
    for name in accepted:
        if name not in names and name.split(" ")[0] not in crashed:
            raise UnmatchedAccepted(name, next(iter(difflib.get_close_matches(name, names, n=1)), None))
    for finding in findings:
        stands = name_of(finding) in accepted and finding.verdict in ("over", "marginal")
        yield replace(finding, verdict="accepted") if stands else finding
