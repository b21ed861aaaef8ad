from __future__ import annotations

from itertools import pairwise

import pytest

from psucheck.parts import library
from psucheck.parts.fuse_marking import bands, marking, read_bands

FUSES = library().fuses


@pytest.mark.parametrize(("speed", "amps", "colours"), [
    ("T", 0.315, "orange brown brown blue"),
    ("F", 1.0, "brown black red red"),
    ("T", 2.0, "red black red blue"),
    ("M", 0.063, "blue orange black yellow"),
    ("TT", 10.0, "brown black orange grey"),
    ("T", 0.0355, "orange green black blue"),
    ("FF", 0.125, "brown red brown black"),
    ("T", 0.112, "brown brown brown blue"),
])  # fmt: skip
def test_bands_as_the_standard_colours_them(speed: str, amps: float, colours: str) -> None:
    """315 mA orange-brown-brown and 1 A brown-black-red: IEC 60127-1, annex A (GOST translation)."""
    assert " ".join(bands(FUSES, speed, amps)) == colours
    assert read_bands(FUSES, colours.split()) == (speed, amps)


def test_every_rating_in_use_is_read_back_from_its_bands() -> None:
    ratings = (*FUSES.preferred_ratings.value.amps, *FUSES.intermediate_ratings.value.amps)
    for amps in ratings:
        assert read_bands(FUSES, bands(FUSES, "T", amps)) == ("T", amps)


def test_no_rating_is_both_preferred_and_between() -> None:
    preferred, between = FUSES.preferred_ratings.value.amps, FUSES.intermediate_ratings.value.amps
    assert not set(preferred) & set(between)
    steps = sorted((*preferred, *between))
    # R20: steps of the twentieth root of ten, rounded.
    assert all(1.08 < high / low < 1.17 for low, high in pairwise(steps))


@pytest.mark.parametrize(("colours", "said"), [
    ("red black red", "four bands are wanted, the wide one last; these are 3"),
    ("pink black red blue", "'pink' is no colour of a digit"),
    ("red black red green", "'green' is no colour of the wide band"),
    ("red brown red blue", "no fuse is made for 2.1 A"),
])  # fmt: skip
def test_what_no_fuse_bears(colours: str, said: str) -> None:
    with pytest.raises(ValueError, match=said.replace("(", "[(]")):
        read_bands(FUSES, colours.split())


def test_other_words_for_colours() -> None:
    assert read_bands(FUSES, ["BROWN", "black", "red", "GRAY"]) == ("TT", 1.0)


@pytest.mark.parametrize(("given", "text"), [
    (("IEC", "T", 2.0, "L", 250.0), "T2AL250V"),
    (("IEC", "T", 0.315, "H", 250.0), "T315mAH250V"),
    (("IEC", "F", 3.15, None, None), "F3.15A"),
    (("UL", "T", 2.0, None, 250.0), "UL slow 2 A 250 V"),
    (("UL", "F", 0.75, None, None), "UL fast 750 mA"),
])  # fmt: skip
def test_markings(given: tuple[str, str, float, str | None, float | None], text: str) -> None:
    assert marking(*given) == text  # type: ignore[arg-type]
