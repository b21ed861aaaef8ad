"""Quantities in the trade's notation: ``47 uF``, ``4k7``, ``8 mfd``, ``17 V at 225 mA``.

Text is matched against one strict table of unit words (:data:`UNITS`); what is not in it is refused with
a reason in the words of the trade. A units library is not asked to read text: pint evaluates expressions,
takes ``nan V``, and reads ``47u`` as an atomic mass and ``10 k`` as Boltzmann's constant. Since the table
leaves one multiplication to do, pint is not imported at run time at all (0.2 to 0.3 s on two cores, where a
whole check takes about a second); it is the referee in the tests, which hold every word of the table
against pint's own conversion.

Inside the package a quantity is a plain float in SI units. Two units are not SI: ``%`` is read as a share of
one (``5 %`` is 0.05), and ``degC`` stays in degrees Celsius.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import NoReturn, Self


class QuantityError(ValueError):
    """Text that is not the quantity wanted.

    Attributes
    ----------
    text : str
        What was read, whole.
    reason : str
        What is wrong with it, in the words of the trade.
    allowed : str
        An example of what may stand here.
    column : int
        Offset in ``text`` of the offending word, from 0.
    """

    def __init__(self, text: str, reason: str, allowed: str, column: int = 0) -> None:
        super().__init__(text, reason, allowed, column)
        self.text = text
        self.reason = reason
        self.allowed = allowed
        self.column = column

    def within(self, text: str, column: int) -> Self:
        """The same error, seen in the longer ``text`` in which this part begins at ``column``."""
        return type(self)(text, self.reason, self.allowed, column + self.column)

    def __str__(self) -> str:
        return f"{self.reason} (for example: {self.allowed})"


@dataclass(frozen=True, slots=True)
class Unit:
    """One unit: how it is written, in which bounds a value is believed, and how it is shown.

    ``what`` is the quantity with its article, ``usual`` and ``example`` what messages suggest. ``low`` and
    ``high`` are the smallest and largest magnitude believed, zero apart [SI]; ``zero`` tells whether zero is
    accepted unless the caller says otherwise. ``words`` holds every word accepted with its factor to SI, and
    ``scales`` those that :func:`show` chooses from, largest first. ``marks`` are the letters that may stand
    for the decimal point (IEC 60062: ``4k7``) with their factors, ``tails`` what may follow such a value.
    ``doubtful`` are the words refused because they have had two meanings, with the advice.
    """

    what: str
    usual: str
    example: str
    low: float
    high: float
    words: Mapping[str, Decimal]
    scales: tuple[str, ...]
    zero: bool = False
    marks: Mapping[str, Decimal] = field(default_factory=dict)
    tails: tuple[str, ...] = ("",)
    doubtful: Mapping[str, str] = field(default_factory=dict)

    def factor(self, word: str) -> Decimal | None:
        """Factor to SI of a unit word, or None if it is no word of this unit.

        Upper and lower case are one, except where a word begins with M (milli or mega) or is, as it
        stands, a word of another unit (``h`` is hours, ``H`` is henries).
        """
        if word in self.words or word[:1] in {"m", "M"} or any(word in unit.words for unit in UNITS.values()):
            return self.words.get(word)
        folded = word.casefold()
        return next((factor for known, factor in self.words.items() if known.casefold() == folded), None)


_PREFIX = {"p": "1e-12", "n": "1e-9", "u": "1e-6", "m": "1e-3", "-": "1", "k": "1e3", "M": "1e6", "G": "1e9"}


def _words(prefixes: str, *bases: str, **more: str) -> dict[str, Decimal]:
    """Every prefix (``-`` is none) before every base word; ``more`` are further words with their factors."""
    made = {sign.strip("-") + base: Decimal(_PREFIX[sign]) for base in bases for sign in prefixes.split()}
    return made | {word: Decimal(factor) for word, factor in more.items()}


def _alike(factor: str, *words: str) -> dict[str, Decimal]:
    """Several words of one factor."""
    return dict.fromkeys(words, Decimal(factor))


def _volts() -> dict[str, Decimal]:
    """Volts, with or without what they are: ``6.3 VAC``, ``441 V DC``."""
    kinds = [gap + kind for gap in ("", " ") for kind in ("AC", "DC", "RMS", "ac", "dc", "rms")]
    plain = _words("- u m k", "V", "v", volt="1", volts="1")
    return plain | {word + kind: factor for word, factor in plain.items() for kind in kinds}


_OHM = ("ohm", "ohms", "Ω")
_MEG = [meg + rest for meg in ("meg", "Meg", "MEG") for rest in ("", "ohm", "ohms", " ohm", "OHM", "OHMS")]
_MFD = ("mfd", "Mfd", "MFD", "mFd", "MFd", "ufd")
_MMFD = ("mmf", "MMF", "mmfd", "MMFD", "mmFd", "MMFd", "uuF", "uufd")
_OHM_M = "a small m could be milli or mega: write 0.05 ohm for milliohms, 1M for a megohm"
_FARAD_M = "{word} has meant microfarad and could be milli or mega: write uF or 'mfd'"

# fmt: off
#: Every unit. The bounds are wide: they catch a slipped prefix or decimal point, not a poor choice of part.
UNITS: Mapping[str, Unit] = {
    "V": Unit("a voltage", "V", "500 V", 1e-6, 5e3, _volts(), ("V", "mV", "uV"),
              marks=_words("-", "V", "v"), tails=("", "ac", "dc", "rms")),
    "A": Unit("a current", "mA or A", "180 mA", 1e-9, 1e3,
              _words("- n u m", "A", "a", amp="1", amps="1", ampere="1", amperes="1"),
              ("A", "mA", "uA", "nA")),
    "W": Unit("a power", "W", "5 W", 1e-6, 1e4,
              _words("- u m k", "W", "w", watt="1", watts="1"), ("W", "mW", "uW")),
    "VA": Unit("an apparent power", "VA", "150 VA", 1e-3, 1e4, _words("- k", "VA"), ("VA",)),
    "ohm": Unit("a resistance", "ohm", "4.7 kohm", 1e-5, 1e9,
                _words("- k M G", *_OHM, *(" " + word for word in _OHM), R="1", k="1e3", M="1e6", G="1e9")
                | _alike("1e6", *_MEG),
                ("Mohm", "kohm", "ohm"), zero=True, tails=("", "ohm", "ohms", "ω"),
                marks=_words("-", "R", "r") | _alike("1e3", "k", "K") | _alike("1e6", "M"),
                doubtful=dict.fromkeys(("m", *("m" + gap + w for gap in ("", " ") for w in _OHM)), _OHM_M)),
    "F": Unit("a capacitance", "uF", "47 uF", 1e-13, 0.1,
              _words("- u n p", "F", farad="1", farads="1", u="1e-6", n="1e-9", p="1e-12")
              | _alike("1e-6", *_MFD) | _alike("1e-12", *_MMFD),
              ("uF", "nF", "pF"), tails=("", "f"),
              marks={letter: Decimal(_PREFIX[letter.lower()]) for letter in "uUnNpP"},
              doubtful=dict.fromkeys(("m", "M", "mF", "MF", "mf", "Mf"), _FARAD_M)),
    "H": Unit("an inductance", "H", "10 H", 1e-9, 1e5,
              _words("- n u m", "H", mh="1e-3", henry="1", henries="1", henrys="1"), ("H", "mH", "uH")),
    "Hz": Unit("a frequency", "Hz", "50 Hz", 0.1, 1e9, _words("- k M", "Hz"), ("kHz", "Hz")),
    "J": Unit("an energy", "J", "25 J", 1e-9, 1e6,
              _words("- u m k", "J", joule="1", joules="1"), ("J", "mJ", "uJ")),
    "s": Unit("a time", "s", "30 s", 1e-9, 1e9,
              _words("- n u m", "s", sec="1", secs="1", second="1", seconds="1")
              | _alike("60", "min", "mins", "minute", "minutes")
              | _alike("3600", "h", "hr", "hrs", "hour", "hours"), ("s", "ms", "us")),
    "A^2 s": Unit("a melting I2t", "A^2 s", "10 A^2 s", 1e-9, 1e6,
                  _alike("1", "A^2 s", "A^2s", "A2 s", "A2s", "A² s", "A²s"), ("A^2 s",)),
    "degC": Unit("a temperature", "degC", "105 degC", 1e-3, 500.0,
                 _alike("1", "degC", "deg C", "°C", "C"), ("degC",), zero=True),
    "%": Unit("a percentage", "%", "5 %", 1e-6, 10.0,
              _alike("0.01", "%", "percent", "per cent"), ("%",), zero=True),
}
# fmt: on

_NUMBER = r"(?:[0-9]+(?:\.[0-9]+)?|\.[0-9]+)"
_PLAIN = re.compile(rf"([-+]?)\s*({_NUMBER})\s*(.*)", re.DOTALL)
_MARKED = re.compile(r"([-+]?)\s*([0-9]*)([A-Za-z])([0-9]+)\s*(.*)", re.DOTALL)
_SAME = str.maketrans({"µ": "u", "\u03bc": "u", "\u2126": "Ω", "−": "-", "–": "-", "×": "x"})


def tidy(text: str) -> str:
    """Write signs that look alike in one way (both micro signs, both ohm signs, dashes); length is kept."""
    return re.sub(r"\s", " ", text.translate(_SAME))


def read(text: str, unit: str, *, allow_negative: bool = False, allow_zero: bool | None = None) -> float:
    """One quantity as an SI float.

    Parameters
    ----------
    text
        Trade notation: ``"47 uF"``, ``"4k7"``, ``"8 mfd"``, ``"-37 V"``.
    unit
        The unit wanted, a key of :data:`UNITS`.
    allow_negative
        Whether a negative value may stand here (a bias voltage, a temperature).
    allow_zero
        Whether zero may; by default only for resistances, temperatures and percentages.

    Raises
    ------
    QuantityError
        If the text is anything but one believable quantity in that unit.

    Examples
    --------
    >>> read("4k7", "ohm"), read("8 mfd", "F")
    (4700.0, 8e-06)
    """
    wanted = UNITS[unit]
    exact = _value(text, wanted)
    if exact is None:
        _refuse(text, wanted)
    value = float(exact)

    def doubt(reason: str) -> NoReturn:
        raise QuantityError(text, reason, wanted.example, len(text) - len(text.lstrip()))

    if value < 0 and not allow_negative:
        doubt(f"{text.strip()}: {wanted.what} cannot be negative here")
    if value == 0:
        if not (wanted.zero if allow_zero is None else allow_zero):
            doubt(f"{text.strip()}: {wanted.what} must be more than zero here")
    elif not wanted.low <= abs(value) <= wanted.high:
        bounds = f"{show(wanted.low, unit)} to {show(wanted.high, unit)}"
        doubt(f"{text.strip()} is not believable as {wanted.what} ({bounds})")
    return value


def is_quantity(text: str, unit: str) -> bool:
    """Whether the text is written as a quantity in that unit, of whatever size and sign."""
    return _value(text, UNITS[unit]) is not None


def is_doubtful(text: str, unit: str) -> bool:
    """Whether the text is a number with a word that has had two meanings for that unit, ``8 M``."""
    plain = _PLAIN.fullmatch(tidy(text).strip())
    return plain is not None and _word(plain[3]) in UNITS[unit].doubtful


def _value(text: str, unit: Unit) -> Decimal | None:
    """The value in SI before any bound is asked, or None if the text is not a quantity of this unit."""
    body = tidy(text).strip()
    marked = _MARKED.fullmatch(body)
    if marked:
        sign, whole, mark, part, tail = marked.groups()
        known = mark in unit.marks and tail.casefold() in unit.tails
        if known and (whole or mark not in "Vv"):  # V1 is the name of a valve
            return Decimal(f"{sign}{whole or 0}.{part}") * unit.marks[mark]
    plain = _PLAIN.fullmatch(body)
    factor = unit.factor(_word(plain[3])) if plain else None
    return Decimal(plain[1] + plain[2]) * factor if plain and factor is not None else None


def _word(text: str) -> str:
    return " ".join(text.split())


def _refuse(text: str, wanted: Unit) -> NoReturn:
    """Say why the text is not a quantity in the unit wanted."""
    body = tidy(text)
    start = len(body) - len(body.lstrip())
    plain = _PLAIN.fullmatch(body, start)
    if not body.strip():
        reason = f"nothing is written here; {wanted.what} is wanted ({wanted.usual})"
    elif not plain:
        reason = f"{text.strip()!r} is not {wanted.what}: a number and its unit are wanted ({wanted.usual})"
    else:
        number, word = plain[1] + plain[2], _word(plain[3])
        if not word:
            meant = f"{number} {wanted.usual.split()[0]}"
            raise QuantityError(text, f"{number} needs a unit: {wanted.usual}", meant, start)
        reason, meant = _no_number(number, word) or _no_unit(number, word, wanted)
        raise QuantityError(text, reason, meant or wanted.example, plain.start(3))
    raise QuantityError(text, reason, wanted.example, start)


def _no_number(number: str, word: str) -> tuple[str, str] | None:
    """Reason and correction, if what follows the digits shows that they are not the whole number."""
    if comma := re.match(r",\s*([0-9]+)\s*(.*)", word):
        thousands = len(comma[1]) == 3 and number.lstrip("+-") != "0"
        meant = f"{number}{'' if thousands else '.'}{comma[1]} {comma[2]}".strip()
        return f"no comma in a number: write {meant}", meant
    if re.match(r"[eE][-+]?[0-9]", word):
        return f"write the number out, without an exponent: {number}{word}", ""
    if re.match(r"[-+*/^=(]|x\b", word):
        return "sums are not worked out here: write one number and its unit", ""
    if re.match(r"[.0-9]", word):
        return f"two numbers where one is wanted: {number} {word}", ""
    return None


def _no_unit(number: str, word: str, wanted: Unit) -> tuple[str, str]:
    """Reason and correction for a word that is not one of the unit wanted."""
    mark = re.match(r"([mM])[0-9]+ ?(.*)", word)
    doubtful = "m" + mark[2] if mark else word
    if doubtful in wanted.doubtful:
        return wanted.doubtful[doubtful].format(word=mark[1] if mark else word), ""
    for name, unit in UNITS.items():
        if _value(f"{number}{word}", unit) is not None:
            return f"{wanted.what} is wanted ({wanted.usual}), this is in {name}", ""
    if word[0] == "M" and wanted.factor("m" + word[1:]) is not None:
        return f"{word} could be milli or mega: write m{word[1:]}", f"{number} m{word[1:]}"
    return f"{word!r} is not a unit of {wanted.what.split(' ', 1)[1]} known here ({wanted.usual})", ""


def _halves(text: str, between: str, missing: str, allowed: str) -> tuple[str, str, int]:
    """Text before and after a dividing word, and the column at which the second half begins."""
    found = re.search(between, tidy(text))
    if not found:
        raise QuantityError(text, missing, allowed, len(text.rstrip()))
    return text[: found.start()], text[found.end() :], found.end()


def read_at(text: str, unit: str, at_unit: str) -> tuple[float, float]:
    """Two quantities that belong together, ``"17 V at 225 mA"``, as SI floats in ``unit`` and ``at_unit``.

    Raises
    ------
    QuantityError
        If either half is not its quantity, or ``at`` is missing.
    """
    allowed = f"{UNITS[unit].example} at {UNITS[at_unit].example}"
    missing = f"{UNITS[unit].what} at {UNITS[at_unit].what} is wanted, with the word 'at' between"
    first, second, column = _halves(text, r"\s(?i:at)\s|\s*@\s*", missing, allowed)
    return _read_part(text, first, unit, 0), _read_part(text, second, at_unit, column)


def read_tolerance(text: str, unit: str = "V") -> tuple[float, float]:
    """A value with its tolerance, ``"440 V +-5 %"``, as an SI float and a share of one: (440.0, 0.05).

    ``+-``, ``+/-`` and the sign ± all serve.

    Raises
    ------
    QuantityError
        If either part cannot be read, or no tolerance is given.
    """
    allowed = f"{UNITS[unit].example} +-5 %"
    missing = f"{text.strip()} by how many per cent? A tolerance is wanted"
    first, second, column = _halves(text, r"\s*(?:\+/?-|±)\s*", missing, allowed)
    return _read_part(text, first, unit, 0), _read_part(text, second, "%", column)


def _read_part(text: str, part: str, unit: str, column: int) -> float:
    """Read a part of a longer text; an error points into the whole."""
    try:
        return read(part, unit)
    except QuantityError as error:
        raise error.within(text, column) from None


_ABSURD = 99_999.5
"""From here on a figure beyond belief is shown rounded [in the largest unit word]."""


def _rounded(value: float, digits: int) -> str:
    """A number far beyond belief, in few figures: ``1.23 million``."""
    rounded = float(f"{value:.{digits - 1}e}")
    if abs(rounded) >= 1e12:
        return f"{rounded:.{digits - 1}e}"
    words = ((1e9, "thousand million"), (1e6, "million"), (1e3, "thousand"))
    size, word = next(each for each in words if abs(rounded) >= each[0])
    return f"{rounded / size:.{digits}g} {word}"


def show(value: float, unit: str, digits: int = 3) -> str:
    """Write a quantity for people, ASCII only: ``"50 uF"``, ``"4.7 kohm"``, ``"441 V"``, ``"1.9 A^2 s"``.

    Parameters
    ----------
    value
        SI value, finite (a share of one for ``%``).
    unit
        A key of :data:`UNITS`.
    digits
        Significant digits; digits before the decimal point are never rounded away, but of a figure beyond
        belief, of more than five of them.

    Raises
    ------
    ValueError
        If the value is not finite: there is no such reading to show.

    Notes
    -----
    Parts smaller than a millionth of the smallest unit word are not shown.
    """
    if not math.isfinite(value):
        raise ValueError(f"{value} {unit} is not a value that can be shown")
    words = UNITS[unit].words
    scales = UNITS[unit].scales
    rounded = float(f"{value:.{digits - 1}e}")
    # The largest word that leaves at least one whole unit, after rounding: 999.9 mA is 1 A.
    word = next((w for w in scales if abs(rounded) >= float(words[w])), scales[-1] if value else scales[0])
    scaled = value / float(words[word])
    if abs(scaled) >= _ABSURD and abs(value) > UNITS[unit].high:
        return f"{_rounded(scaled, digits)} {word}"
    whole = len(str(int(abs(scaled)))) if abs(scaled) >= 1 else 1 - math.ceil(-math.log10(abs(scaled) or 1.0))
    text = f"{scaled:.{min(max(digits - whole, 0), 6)}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return f"{'0' if text == '-0' else text} {word}"
