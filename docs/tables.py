"""Tables and pages of the documentation that are made from the package's own data."""

from __future__ import annotations

import inspect
import re
import tomllib
from collections.abc import Callable, Iterable
from importlib import import_module
from pathlib import Path
from typing import Any

from psucheck import quantity
from psucheck.bench.practice import practice
from psucheck.checks.limits import Limits, default_limits
from psucheck.checks.manual import page
from psucheck.checks.registry import RULES
from psucheck.conditions.plan import plan
from psucheck.parts import library
from psucheck.report import document
from psucheck.supply import guesses, synonyms
from psucheck.supply.fill import fill
from psucheck.supply.guesses import Guess
from psucheck.supply.reader import read_description

ROOT = Path(__file__).resolve().parents[1]

_INTRODUCTION = """\
# The rules

This page is made from the rules' own texts by `docs/build.py`; nothing on it is edited by hand.

A rule holds a figure of this supply against a limit and gives a verdict for each part it is about: `over`,
`marginal`, `ok` or `not checked`. How verdicts come about is in [judging.md](judging.md). The thresholds with
their sources stand in [one table](#the-table-of-limits) at the end.
"""


def markdown(heading: Iterable[str], rows: Iterable[Iterable[str]]) -> str:
    """A table; a bar inside a cell is escaped."""
    lines = [list(heading)]
    lines += [[cell.replace("|", r"\|") for cell in row] for row in rows]
    text = ["| " + " | ".join(cells) + " |" for cells in lines]
    return "\n".join([text[0], "|" + "---|" * len(lines[0]), *text[1:]])


# --- the rules --------------------------------------------------------------------------------------------


def rules_page() -> str:
    """The whole of docs/rules.md."""
    pages = [page(rule) for rule in RULES]
    parts = [_INTRODUCTION, "\n".join(f"- [`{one.id}`](#{one.id}): {_plain(one.title)}" for one in pages)]
    for one in pages:
        parts.append(f"## {one.id}\n\n{_plain(one.summary)}")
        parts += [f"**{title}.** {_plain(text)}" for title, text in one.sections.items()]
    parts.append(
        "## The table of limits\n\nEach may be set in [a file of your own](judging.md#limits-of-your-own)."
    )
    parts.append(_limits())
    return "\n\n".join(part.strip("\n") for part in parts) + "\n"


def _plain(text: str) -> str:
    """A docstring's text as Markdown: single back-ticks, stars kept as they are."""
    return text.replace("``", "`").replace("*", r"\*")


def _bench() -> str:
    return _limits(practice())


def _limits(limits: Limits | None = None) -> str:
    held = limits or default_limits()
    return markdown(
        ("limit", "value", "what it means", "source"),
        ((f"`{one.name}`", one.written, one.says, one.cited) for one in held.entries.values()),
    )


# --- the description --------------------------------------------------------------------------------------

_GUESSES = {
    "WINDING_SHARE": "copper of an HT winding, from the share of its volts that it drops at its current",
    "HEATER_WINDING_SHARE": "copper of a winding below 30 V, likewise",
    "PRIMARY_SHARE": "copper of the primary, from the share of its volts that it drops at its power",
    "DISSIPATION_FACTOR": "ESR of a capacitor, from its loss factor at 120 Hz",
    "LEAKAGE": "leakage of a capacitor, as a resistance of 1/(k C)",
    "CHOKE_HENRIES": "inductance of a choke",
    "PREAMP_AMPS_PER_SECTION": "current of each half of a small valve whose usual current is not held",
    "BIAS_LOAD": "pot and padding behind a bias rectifier, where no reading tells",
    "FUSE_VOLT_AMPS": "cold resistance of a fuse of 1 A; it falls with the rating to the power 1.35",
    "OUTPUT_EFFICIENCY": "audio watts over anode watts, for the current at full output",
    "SCREEN_SHARE": "screen current over anode current at idle, of a type whose table is not held",
    "MAINS_OHMS_LOW": "resistance of mains below 200 V, without a system",
    "NO_LOAD_SHARE": "no-load current, as a share of the rated primary current",
    "CORE_LOSS_SHARE": "core loss, as a share of the rated volt-amperes",
    "RESIDUAL_FLUX": "residual flux at switch-on, as a share of the rated",
    "LEAKAGE_SHARE": "leakage reactance at mains frequency, as a share of the rated impedance",
    "HEATER_COLD_SHARE": "resistance of a heater cold, as a share of it hot",
    "ZENER_SHARE": "differential resistance of a zener, as a share of its volts over its test current",
    "RELAY_PULL_IN": "volts at which a relay pulls in, as a share of its nominal ones",
    "HEATER_SECONDS": "time constant with which a heater's resistance rises",
    "WARM_UP_DIRECT": "seconds to full emission of a directly heated rectifier valve",
    "WARM_UP_INDIRECT": "seconds to full emission of an indirectly heated rectifier valve",
    "WARM_UP_VALVES": "seconds to full emission of output and small valves",
}
"""What a guess is about; one that is not listed goes by its name."""


def _guess_table() -> str:
    rows = []
    for name, held in vars(guesses).items():
        kinds = held if isinstance(held, dict) else {"": held}
        for kind, one in kinds.items():
            if isinstance(one, Guess):
                what = _GUESSES.get(name, name.lower().replace("_", " ")) + (f"; {kind} core" if kind else "")
                rows.append((what, f"{one.value:g}", f"{one.low:g} to {one.high:g} times", one.source))
    return markdown(("what", "taken (SI, or a share)", "expected between", "source"), rows)


def _mains_systems() -> str:
    rows = []
    for system in library().mains_systems:
        volts, ohms = system.voltage.value, system.impedance
        hertz = " or ".join(f"{each:g}" for each in system.frequencies.value.hertz)
        rows.append(
            (
                " ".join((f"`{system.name}`", *(f"`{alias}`" for alias in system.aliases))),
                f"{volts.nominal:g} V, {hertz} Hz",
                f"{volts.low:g} to {volts.high:g} V",
                system.voltage.citation,
                f"{ohms.value.ohms:g} ohm; {ohms.citation}",
            )
        )
    heading = ("`system`", "nominal", "range", "source of the range", "resistance and its source")
    return markdown(heading, rows)


def _parts() -> str:
    held = library()
    kinds: dict[str, Iterable[Any]] = {
        "rectifier valves": held.rectifier_valves,
        "diodes": held.diodes,
        "output and small valves": held.load_valves,
    }
    rows = (
        (kind, ", ".join(" = ".join((part.name, *part.aliases)) for part in parts))
        for kind, parts in kinds.items()
    )
    return markdown(("kind", "types, with their other names"), rows)


def _units() -> str:
    rows = (
        (
            f"`{name}`",
            unit.what,
            f"`{unit.example}`",
            f"{unit.low:g} to {unit.high:g}",
        )
        for name, unit in quantity.UNITS.items()
    )
    return markdown(("unit", "what", "example", "believed between, in that unit (% as a share)"), rows)


def _other_words() -> str:
    keys = [
        (table.lower(), ", ".join(f"`{spelled}` = `{meant}`" for spelled, meant in words.items()))
        for table, words in synonyms.KEYS.items()
    ]
    meanings: dict[str, list[str]] = {}
    for spelled, meant in synonyms.WORDS.items():
        meanings.setdefault(meant, []).append(spelled)
    words = [
        (f"the word `{meant}`", ", ".join(f"`{one}`" for one in spelled))
        for meant, spelled in meanings.items()
    ]
    return markdown(("where", "other words that are read"), [*keys, *words])


def _conditions() -> str:
    described = read_description(ROOT / "netlists" / "two-el34-head.toml").found
    levels: dict[str, list[str]] = {}
    for condition in plan(fill(described)):
        at = levels.setdefault(condition.state, [])
        at += [condition.level] if condition.level not in at else []
    return markdown(("state", "at which mains"), ((state, ", ".join(at)) for state, at in levels.items()))


# --- the JSON document ------------------------------------------------------------------------------------


def _schema() -> str:
    schema = document.schema()
    tables = {"the document": schema, **schema["$defs"]}
    return "\n\n".join(_object(name, table) for name, table in tables.items())


def _object(name: str, table: dict[str, Any]) -> str:
    if name == "content":
        said = "The document without `schema`: of the supply as found, and of the one with its bias reset."
        return f"### content\n\n{said}"
    about = table.get("description", "")
    required = table.get("required", ())
    rows = (
        (f"`{key}`" + ("" if key in required else " (may be absent)"), _kind(one), one.get("description", ""))
        for key, one in table["properties"].items()
    )
    return f"### {name}\n\n{about[:1].upper() + about[1:]}\n\n{markdown(('key', 'holds', ''), rows)}"


def _kind(one: dict[str, Any]) -> str:
    """What a value is, in words."""
    if "$ref" in one:
        return str(one["$ref"]).rsplit("/", 1)[-1]
    if "const" in one:
        return f'"{one["const"]}"'
    if "enum" in one:
        return ", ".join(f'"{word}"' for word in one["enum"])
    if "anyOf" in one:
        return " or ".join(_kind(each) for each in one["anyOf"])
    kinds = one.get("type", "")
    if isinstance(kinds, list):
        return " or ".join(kinds)
    if kinds == "array":
        return f"list of {_kind(one['items'])}"
    if kinds == "object" and "additionalProperties" in one and isinstance(one["additionalProperties"], dict):
        return f"name -> {_kind(one['additionalProperties'])}"
    return str(kinds)


# --- the house --------------------------------------------------------------------------------------------


def _rooms() -> str:
    settings = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["tool"]["importlinter"]
    arrow = next(contract for contract in settings["contracts"] if contract["id"] == "arrow")
    rows = []
    for layer in arrow["layers"]:
        name = layer.strip("()")
        said = inspect.getdoc(import_module(f"psucheck.{name}")) or ""
        rows.append((f"`{name}`", re.sub(r"\s+", " ", said.split("\n\n")[0]).replace("``", "`")))
    return markdown(("room", "what stands in it"), rows)


def _tolerances() -> str:
    table = tomllib.loads((ROOT / "tests" / "tolerances.toml").read_text("utf-8"))
    kinds = (("rel", ""), ("abs", " abs."))
    rows = (
        (
            f"`{name}`",
            " or ".join(f"{entry[key]:g}{kind}" for key, kind in kinds if key in entry),
            entry["why"],
        )
        for name, entry in table.items()
    )
    return markdown(("quantity", "share of the value, or absolute", "why"), rows)


TABLES: dict[str, Callable[[], str]] = {
    "bench": _bench,
    "conditions": _conditions,
    "guesses": _guess_table,
    "mains systems": _mains_systems,
    "other words": _other_words,
    "parts": _parts,
    "rooms": _rooms,
    "schema": _schema,
    "tolerances": _tolerances,
    "units": _units,
}
"""What ``<!-- fill: table NAME -->`` may name."""
