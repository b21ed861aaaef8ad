"""The short form of a fuse: the marking on its cap, or its coloured bands."""

from __future__ import annotations

from psucheck.parts import library
from psucheck.parts.fuse_marking import read_bands
from psucheck.supply.notation_words import Table, Words, put

_UL_SPEED = {
    "slow-blow": "T", "slow blow": "T", "slow": "T", "time-delay": "T", "time delay": "T",
    "fast-acting": "F", "fast acting": "F", "fast": "F", "quick": "F",
}  # fmt: skip


# [A]. IEC 60127-2 begins at 32 mA; UL 248-14 ends at 60 A.
_SMALLEST, _LARGEST = 0.01, 60.0


def fuse(text: str) -> Table:
    """Read a fuse's marking: ``"T2AL250V"`` (IEC 60127), ``"UL slow 2 A 250 V"``, or its colours.

    ``"bands red black red blue"`` is a T 2 A: the bands of IEC 60127-1, the wide one last. The
    speed is given by the IEC's letter for both standards. Volts are AC unless ``DC`` is marked. A printed
    marking may have a decimal comma (``T3,15A``), so here it is read.

    Raises
    ------
    NotationError
        If speed or current is missing, or the standard is not clear.
    """
    words = Words(text, "T2AL250V")
    if words.take("bands", "band", "colours", "colors"):
        return _by_bands(words)
    if words.take("UL", "CSA"):
        speed = words.take(*_UL_SPEED)
        if not speed:
            words.fail("slow or fast? A UL fuse is written 'UL slow 2 A 250 V'")
        found: Table = {"standard": "UL", "speed": _UL_SPEED[speed]}
    elif words.take(*_UL_SPEED):
        words.fail("IEC or UL? The two open at different currents: write T2AL250V, or 'UL slow 2 A 250 V'", 0)
    elif letter := words.match(r"(FF|F|M|TT|T)(?=[\s0-9.])"):
        found = {"standard": "IEC", "speed": letter[1].upper()}
    else:
        words.fail("a fuse begins with its speed: FF, F, M, T or TT")
    column = words.column
    amps = words.match(r"([0-9]+(?:[.,][0-9]+)?|[.,][0-9]+)\s*(mA|A)")
    if not amps:
        words.fail("the rated current is wanted here, with its unit: A or mA")
    unit = "mA" if len(amps[2]) > 1 else "A"
    current = words.read(amps[1].replace(",", ".") + unit, "A", column)
    if not _SMALLEST <= current <= _LARGEST:
        words.fail(f"{amps[0].strip()} is not believable as the current of a fuse here", column)
    if found["standard"] == "IEC" and (breaking := words.match(r"[LEH](?=[\s0-9]|$)")):
        found["breaking"] = breaking[0].upper()
    found["current"] = current
    _fuse_volts(words, found)
    return found


def _by_bands(words: Words) -> Table:
    """Four colours, the wide band last; breaking capacity and volts are not told by them."""
    column, colours = words.column, []
    while found := words.match(r"([A-Za-z]+)\s*[-,/]?"):
        colours.append(found[1])
    if not words.done:
        words.fail(f"{words.word!r} is no colour")
    try:
        speed, amps = read_bands(library().fuses, colours)
    except ValueError as error:
        words.fail(str(error), column)
    return {"standard": "IEC", "speed": speed, "current": amps}


def _fuse_volts(words: Words, found: Table) -> None:
    while not words.done:
        column = words.column
        volts = words.match(r"/?\s*([0-9]+)\s*V\s*(AC|DC|~)?(?=[\s/]|$)")
        if not volts:
            words.fail(f"{words.word!r} is not understood in a fuse's marking")
        key = "dc_voltage" if (volts[2] or "").upper() == "DC" else "voltage"
        put(found, key, words.read(volts[1] + " V", "V", column), words, column)
