"""All rules, and the one call that runs them."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Mapping
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
    allowed
        Names of the findings that its rule has; empty where it begins with no rule's id.
    said
        What is wrong, without the key.
    """

    said = 'this names no finding: write rule and subject, as "capacitor-voltage reservoir"'

    def __init__(self, name: str, nearest: str | None, allowed: Iterable[str] = ()) -> None:
        hint = f'; the nearest is "{nearest}"' if nearest else ""
        super().__init__(f'[accepted] "{name}" names no finding (write "rule-id subject"){hint}')
        self.name = name
        self.nearest = nearest
        self.allowed = tuple(allowed) or ((nearest,) if nearest else ())


def judge_all(case: Case, limits: Limits, rules: Iterable[Rule] = RULES) -> list[Finding]:
    """What every rule says of ``case``: what is over first, each verdict by its margin, worst first.

    A rule that raises gives one :class:`CrashedFinding` in place of its findings. A finding for which limits
    of the user's own were read names them, and has the verdict by the house's where that is another.
    """
    with in_force(case.supply.library):
        findings = [finding for rule in rules for finding in _judged(rule, case, limits)]
    return sorted(findings, key=severity)


def name_of(finding: Finding) -> str:
    """What a finding is called in ``[accepted]``: rule and subject."""
    return f"{finding.rule} {finding.subject}"


def _judged(rule: Rule, case: Case, limits: Limits) -> list[Finding]:
    try:
        if not limits.own:
            return list(rule.judge(case, limits))
        noting = limits.noting()
        findings = [replace(one, own_limits=noting.taken()) for one in rule.judge(case, noting)]
        return _beside_the_house(findings, list(rule.judge(case, limits.of_house())))
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


def _beside_the_house(findings: list[Finding], by_house: list[Finding]) -> list[Finding]:
    """Findings with the verdict by the house's limits, where that is another."""
    if [name_of(one) for one in findings] != [name_of(one) for one in by_house]:
        return findings
    return [
        one if one.verdict == house.verdict else replace(one, house_verdict=house.verdict)
        for one, house in zip(findings, by_house, strict=True)
    ]


def accept(findings: Iterable[Finding], accepted: Mapping[str, str]) -> list[Finding]:
    """Findings with those accepted in the file marked so, sorted as :func:`judge_all` sorts them.

    A name of a rule that crashed is let pass: what it would have found is not known.

    Raises
    ------
    UnmatchedAccepted
        A name of ``accepted`` is no finding's.
    """
    findings = list(findings)
    crashed = {finding.rule for finding in findings if isinstance(finding, CrashedFinding)}
    names = {name_of(finding) for finding in findings}
    for name in accepted:
        if name not in names and _of_rule(name) not in crashed:
            near = next(iter(difflib.get_close_matches(name, names, n=1)), None)
            raise UnmatchedAccepted(
                name, near, sorted(each for each in names if _of_rule(each) == _of_rule(name))
            )
    return sorted((_accepted(finding, accepted) for finding in findings), key=severity)


def _of_rule(name: str) -> str:
    return name.split(" ")[0]


def _accepted(finding: Finding, accepted: Mapping[str, str]) -> Finding:
    stands = name_of(finding) in accepted and finding.verdict in ("over", "marginal")
    return replace(finding, verdict="accepted") if stands else finding


def unknown_rule(accepted: Iterable[str]) -> UnmatchedAccepted | None:
    """The error for the first name of ``accepted`` that begins with no rule's id; known before any run."""
    rules = [rule.ID for rule in RULES]
    for name in accepted:
        rule, _, subject = name.partition(" ")
        if rule not in rules:
            near = next(iter(difflib.get_close_matches(rule, rules, n=1)), None)
            whole = None if near is None else f"{near} {subject}".strip()
            return UnmatchedAccepted(name, whole)
    return None
