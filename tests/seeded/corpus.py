"""The corpus: sound supplies, and for each wrong one the base, what is changed in it, and what must be found.

``sound/NAME.toml`` are whole descriptions. ``wrong.toml`` is a table: each entry names its ``base``, the
``change`` by paths of the description, the findings that are new against the base by rule (``finds``: what
the change is there for; ``drags``: what physics brings along) and ``why``, in a line. What must be found is
decided from the circuit, then run; where the two differ, it is looked into who is right.
"""

from __future__ import annotations

import copy
import json
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from psucheck.checks.finding import Finding, Verdict
from psucheck.checks.judging import SEVERITY
from psucheck.supply.model import Description
from psucheck.supply.reader import parse_description

HERE = Path(__file__).parent
SOUND = tuple(sorted(path.stem for path in (HERE / "sound").glob("*.toml")))
NEWS: tuple[Verdict, ...] = ("over", "marginal", "not checked")


@dataclass(frozen=True)
class Wrong:
    """One sound supply with one thing made wrong.

    Attributes
    ----------
    name, base
        Its own name, and that of the sound supply.
    change
        Path in the description -> the value as the file would hold it; "none" takes out what stands there.
    finds, drags
        Rule -> verdict that is new against the base: what the change is there for, and what goes with it.
    runs
        What of the conditions these rules need: "steady", "all", or "faults" (all, and the faults).
    why
        Why it must be found, in a line.
    doubt
        Where psucheck is known to say something else, and why; empty where it agrees.
    """

    name: str
    base: str
    change: Mapping[str, Any]
    finds: Mapping[str, Verdict]
    why: str
    drags: Mapping[str, Verdict]
    runs: str
    doubt: str = ""

    @property
    def expected(self) -> dict[str, Verdict]:
        """Everything that must be new, by rule."""
        return {**self.finds, **self.drags}


@cache
def wrong() -> tuple[Wrong, ...]:
    """Every wrong supply of the table."""
    table = tomllib.loads((HERE / "wrong.toml").read_text("utf-8"))
    usual: dict[str, Any] = {"drags": {}, "runs": "steady"}
    return tuple(Wrong(name=name, **{**usual, **entry}) for name, entry in table.items())


@cache
def sound_tables(name: str) -> dict[str, Any]:
    """The tables of a sound supply."""
    return tomllib.loads((HERE / "sound" / f"{name}.toml").read_text("utf-8"))


def description_of(base: str, change: Mapping[str, Any] | None = None) -> Description:
    """A sound supply, changed by paths or as it is.

    Raises
    ------
    KeyError
        For a path that leads to nothing of the base, where something is to be taken out.
    """
    tables = copy.deepcopy(sound_tables(base))
    for path, value in (change or {}).items():
        *above, last = _parts(path)
        at = tables
        for part in above:
            at = at.setdefault(part, {})
        if value == "none":
            del at[last]
        else:
            at[last] = value
    return parse_description(written(tables), f"{base}.toml")


def _parts(path: str) -> list[str]:
    """``fuses."each winding ht"`` in its parts."""
    table: Any = tomllib.loads(f"{path} = 0")
    parts = []
    while isinstance(table, dict):
        ((part, table),) = table.items()
        parts.append(part)
    return parts


def written(tables: Mapping[str, Any]) -> str:
    """Tables as the text of a description."""
    heads = [f"{json.dumps(key)} = {_value(value)}" for key, value in tables.items() if not _is_table(value)]
    for key, value in tables.items():
        if _is_table(value):
            heads.append(f"[{json.dumps(key)}]")
            heads += [f"{json.dumps(name)} = {_value(inner)}" for name, inner in value.items()]
    return "\n".join(heads) + "\n"


def _is_table(value: Any) -> bool:
    return isinstance(value, dict)


def _value(value: Any) -> str:
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{json.dumps(key)} = {_value(inner)}" for key, inner in value.items()) + " }"
    if isinstance(value, list):
        return "[" + ", ".join(map(_value, value)) + "]"
    return json.dumps(value, ensure_ascii=False)


def news(base: Iterable[Finding], changed: Iterable[Finding]) -> dict[str, Verdict]:
    """By rule, the verdict that matters most of those that matter more than the base's on the same thing."""
    before: dict[tuple[str, str], int] = {}
    for finding in base:
        key = (finding.rule, finding.subject)
        before[key] = min(before.get(key, SEVERITY["ok"]), SEVERITY[finding.verdict])
    found: dict[str, Verdict] = {}
    for finding in changed:
        weight = SEVERITY[finding.verdict]
        if finding.verdict in NEWS and weight < before.get((finding.rule, finding.subject), SEVERITY["ok"]):
            known = found.get(finding.rule)
            if known is None or weight < SEVERITY[known]:
                found[finding.rule] = finding.verdict
    return found
