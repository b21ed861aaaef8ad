"""The JSON document: the same content as the tables, SI units, stable key order, no NaN.

``psucheck/report/schema.json`` describes it. Figures are given to six significant digits, which is finer than
any of them is known, so that the same supply gives the same bytes.
"""

from __future__ import annotations

import json
import math
from collections.abc import Iterable, Mapping
from dataclasses import asdict, replace
from importlib import resources
from typing import Any

from psucheck.checks.finding import Finding
from psucheck.figures.model import Figures, RectifierFigures, RelayFigures, WindingFigures
from psucheck.report import compare, cures, faults, own_limits, trial
from psucheck.report.swap import Columns
from psucheck.report.trial import Trial
from psucheck.report.view import Report, relay_verdict
from psucheck.supply.assumptions import Assumption
from psucheck.supply.model import Supply

SCHEMA = "psucheck/1"
_FIGURE_DIGITS = 6
_SUPPLY_DIGITS = 12

Json = dict[str, Any]


class DocumentError(ValueError):
    """A figure that no JSON document can hold; names its place in the document."""


def document(report: Report) -> Json:
    """The document of ``report``, ready for :func:`dump`.

    Raises
    ------
    DocumentError
        For a figure that is infinite or not a number.
    """
    return {"schema": SCHEMA, **_content(report)}


def comparison(columns: Columns) -> Json:
    """The document of supplies side by side: each as a check tells it, then their figures in columns.

    Raises
    ------
    DocumentError
        For a figure that is infinite or not a number.
    """
    supplies = [{"name": heading, **_content(replace(report, reset=None))} for heading, report in columns]
    beside = _clean(compare.as_json(columns), "comparison", _FIGURE_DIGITS)
    return {"schema": SCHEMA, "comparison": beside, "supplies": supplies}


def trial_document(made: Trial) -> Json:
    """The document of values that were tried.

    Raises
    ------
    DocumentError
        For a figure that is infinite or not a number.
    """
    return {"schema": SCHEMA, "trial": _clean(trial.as_json(made), "trial", _FIGURE_DIGITS)}


def dump(content: Json) -> str:
    """The document as text: two blanks an indent, ASCII only, a newline at the end.

    Raises
    ------
    DocumentError
        For a value that JSON does not have.
    """
    try:
        return json.dumps(content, indent=2, ensure_ascii=True, allow_nan=False) + "\n"
    except ValueError as error:
        raise DocumentError(str(error)) from error


def schema(kind: str | None = None) -> Json:
    """The JSON Schema of a check's document, or of one of another ``kind``: ``"comparison"``, ``"trial"``."""
    text = resources.files("psucheck.report").joinpath("schema.json").read_text("utf-8")
    loaded: Json = json.loads(text)
    if kind is None:
        return loaded
    return {"$schema": loaded["$schema"], "$ref": f"#/$defs/{kind}", "$defs": loaded["$defs"]}


def cleaned(content: Json, path: str) -> Json:
    """A document's content as JSON holds it: lists, and figures to their digits.

    Raises
    ------
    DocumentError
        For a figure that is infinite or not a number; ``path`` leads to its place.
    """
    made: Json = _clean(content, path, _FIGURE_DIGITS)
    return made


def _content(report: Report) -> Json:
    content: Json = {
        "title": report.title,
        "supply": _supply(report.supply, report.assumptions),
        "conditions": _clean([_condition(f) for f in report.figures.values()], "conditions", _FIGURE_DIGITS),
        "findings": _clean([_finding(f) for f in report.findings], "findings", _FIGURE_DIGITS),
        "cautions": list(report.cautions),
        "assumptions": _clean([asdict(a) for a in report.assumptions], "assumptions", _FIGURE_DIGITS),
        "remarks": list(report.remarks),
    }
    if report.own_parts:
        content["own_parts"] = list(report.own_parts)
    content |= _clean(own_limits.as_json(report), "own_limits", _FIGURE_DIGITS)
    content |= _clean(faults.as_json(report), "faults", _FIGURE_DIGITS)
    if report.together:
        content["cures_together"] = report.together
    if report.taps:
        content["taps"] = _clean([asdict(tap) for tap in report.taps], "taps", _FIGURE_DIGITS)
    if report.relays:
        content["relays"] = _clean([_relay(report, one) for one in report.relays], "relays", _FIGURE_DIGITS)
    for name, other in (("found", report.found), ("reset", report.reset)):
        if other is not None:
            content[name] = _content(other)
    return content


def _relay(report: Report, relay: RelayFigures) -> Json:
    """A relay with what its rule says of it."""
    return {**asdict(relay), "verdict": relay_verdict(report, relay)}


def _supply(supply: Supply, assumptions: Iterable[Assumption]) -> Json:
    """The supply as understood; ``assumed`` says how each value that the file does not state came about."""
    described = supply.model_dump(mode="python", by_alias=True, exclude_none=True)
    cleaned: Json = _clean(described, "supply", _SUPPLY_DIGITS)
    return {**cleaned, "assumed": {assumption.key: assumption.kind for assumption in assumptions}}


def _condition(figures: Figures) -> Json:
    return {
        "name": figures.name,
        "state": figures.state,
        "level": figures.level,
        "kind": figures.kind,
        "mains": figures.mains,
        "nodes": _all(figures.nodes),
        "windings": {name: _winding(winding) for name, winding in figures.windings.items()},
        "rectifiers": {name: _rectifier(rectifier) for name, rectifier in figures.rectifiers.items()},
        "mains_supply": None if figures.mains_supply is None else asdict(figures.mains_supply),
        "capacitors": _all(figures.capacitors),
        "resistors": _all(figures.resistors),
        "chokes": _all(figures.chokes),
        "valves": _all(figures.valves),
        "places": _all(figures.places),
        "core": None if figures.core is None else asdict(figures.core),
        "discharge": _all(figures.discharge),
        "sag": _all(figures.sag),
        "uncertainty": dict(figures.uncertainty),
        "guessed_range": {path: list(ends) for path, ends in figures.guessed_range.items()},
        "remarks": list(figures.remarks),
        "seconds": figures.seconds,
        "emission": dict(figures.emission),
    }


def _all(parts: Mapping[str, Any]) -> Json:
    return {name: asdict(part) for name, part in parts.items()}


def _winding(winding: WindingFigures) -> Json:
    """The busiest section stands for the winding; every section is listed beside it."""
    return {
        "rms_current": max(winding.rms_current),
        "peak_current": max(winding.peak_current),
        "volts": winding.volts,
        "elevation": winding.elevation,
        "heater_volts": winding.heater_volts,
        "sections": {
            "rms_current": winding.rms_current,
            "peak_current": winding.peak_current,
            "volts": winding.section_volts,
        },
    }


def _rectifier(rectifier: RectifierFigures) -> Json:
    """``mean_current`` is the DC of the whole circuit; peak, RMS and reverse volts are the busiest arm's."""
    return {
        "mean_current": rectifier.mean_current,
        "peak_current": rectifier.peak_current,
        "rms_current": rectifier.arm_rms_current,
        "reverse_voltage": rectifier.reverse_voltage,
        "arm_mean_current": rectifier.arm_mean_current,
        "source_resistance": rectifier.source_resistance,
    }


def _finding(finding: Finding) -> Json:
    first = ("rule", "subject", "condition", "verdict", "figure", "limit", "unit", "margin", "why", "source")
    order = (*first, "guessed", "cure", "change", "measure", "lower_limit", "part")
    content = {name: getattr(finding, name) for name in order} | own_limits.of_finding(finding)
    return content | {"cure": cures.as_json(finding.cure)}


def _clean(value: Any, path: str, digits: int) -> Any:
    """Tuples to lists, numbers to ``digits`` significant digits, each one finite.

    Raises
    ------
    DocumentError
        Naming ``path``, for a number that is not finite.
    """
    if isinstance(value, Mapping):
        return {str(key): _clean(item, f"{path}.{key}", digits) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_clean(item, f"{path}[{index}]", digits) for index, item in enumerate(value)]
    if isinstance(value, bool) or not isinstance(value, float):
        return value
    number = float(value)
    if not math.isfinite(number):
        raise DocumentError(f"{path} is {number}: no figure")
    return float(f"{number:.{digits}g}") + 0.0


def finding_document(finding: Finding) -> Json:
    """A finding in the document of another study; its numbers still as they are."""
    return _finding(finding)
