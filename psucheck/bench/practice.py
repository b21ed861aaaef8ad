"""The table of what the bench goes by; its numbers stand in ``practice.toml``, each with its status."""

from __future__ import annotations

from functools import cache
from importlib import resources

from psucheck.checks.limits import Limits, parse


@cache
def practice() -> Limits:
    """Every threshold of the bench by its name, ``"amps.factor"``."""
    return parse(resources.files("psucheck.bench").joinpath("practice.toml").read_text("utf-8"))


def rule(name: str) -> float:
    """The number of one of them [SI, or a share]."""
    return practice().value(name)
