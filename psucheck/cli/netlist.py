"""``psucheck netlist``."""

from __future__ import annotations

from pathlib import Path

from psucheck.cli.status import UNUSABLE, in_words


def netlist(supply: Path, *, condition: str = "idle", output: Path | None = None) -> int:
    """Write the SPICE netlist of a supply in one condition; plain ngspice runs it.

    Parameters
    ----------
    supply
        The description, a TOML file.
    condition
        The condition, as `check --long` names them: "idle" (at nominal mains), "cold, high mains", ...
    output
        The file to write; without it the netlist is printed.
    """
    return in_words(lambda: _netlist(supply, condition, output))


def _netlist(supply: Path, condition: str, output: Path | None) -> int:
    import sys

    from psucheck.cli.loading import load
    from psucheck.cli.writing import write
    from psucheck.studies.netlist import UnknownCondition
    from psucheck.studies.netlist import netlist as study

    description, pool = load(supply)
    with pool:
        try:
            text = study(description, condition, pool)
        except UnknownCondition as error:
            print(f"psucheck: {error}", file=sys.stderr)
            return UNUSABLE
    if output is None:
        print(text, end="")
        return 0
    return write(output, text)
