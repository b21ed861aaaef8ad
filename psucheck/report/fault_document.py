"""The JSON document of a fault hunt; ``schema.json`` describes it under ``faultfind``."""

from __future__ import annotations

from dataclasses import asdict

from psucheck.report.document import SCHEMA, Json
from psucheck.report.fault_view import PRIORS, FaultReport

_DIGITS = 6


def fault_document(report: FaultReport) -> Json:
    """The document of ``report``, ready for :func:`psucheck.report.document.dump`."""
    content = asdict(report)
    content["two"] = list(content["two"]) if content["two"] is not None else None
    return {"schema": SCHEMA, "faultfind": _rounded({**content, "priors": PRIORS})}


def _rounded(content: Json) -> Json:
    """The same with figures to six significant digits, and lists for tuples."""

    def rounded(value: object) -> object:
        if isinstance(value, float):
            return float(f"{value:.{_DIGITS - 1}e}")
        if isinstance(value, dict):
            return {key: rounded(item) for key, item in value.items()}
        if isinstance(value, list | tuple):
            return [rounded(item) for item in value]
        return value

    made = rounded(content)
    assert isinstance(made, dict)
    return made
