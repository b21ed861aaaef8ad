"""Writing files whole or not at all."""

from __future__ import annotations

import sys
from pathlib import Path

from psucheck.cli.status import UNUSABLE


def write(output: Path, text: str, encoding: str = "ascii") -> int:
    """Write a file whole or not at all: beside it first, then in its place. Returns the exit status."""
    part = output.with_name(f".{output.name}.part")
    try:
        part.write_text(text, encoding, newline="\n")
        part.replace(output)
    except OSError as error:
        part.unlink(missing_ok=True)
        print(f"psucheck: {output} cannot be written: {error.strerror}", file=sys.stderr)
        return UNUSABLE
    return 0
