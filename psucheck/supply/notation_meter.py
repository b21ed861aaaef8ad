"""Short form of a meter's accuracy."""

from __future__ import annotations

from psucheck.supply.notation_words import NUMBER, Table, Words

_FORM = "1 % + 3"


def meter(text: str) -> Table:
    """Read what a meter's sheet says of it: ``"1 % + 3"``, ``"0.5 % + 2 of 6000"``.

    Per cent of the reading, counts of the last digit, and how many counts the display has.

    Raises
    ------
    NotationError
        If anything else is written.
    """
    words = Words(text, _FORM)
    share = words.match(rf"({NUMBER})\s*%\s*")
    if share is None:
        words.fail("a meter's accuracy is wanted: per cent of the reading and counts of the last digit")
    counts = words.match(r"\+\s*([0-9]{1,4})(?:\s*(?:counts?|digits?|dgts?))?(?=\s|$)\s*")
    if counts is None:
        words.fail("the counts of the last digit are missing: + 3")
    found: Table = {"share": float(share[1]) / 100.0, "counts": int(counts[1])}
    display = words.match(r"of\s*([0-9]{3,7})(?:\s*counts?)?(?=\s|$)\s*")
    if display is not None:
        found["display"] = int(display[1])
    if not words.done:
        words.unknown()
    return found
