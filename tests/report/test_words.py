import io
from dataclasses import replace

import pytest
from rich.text import Text

from psucheck.checks.finding import Finding
from psucheck.report import words

HELD = Finding("rule", "part", None, "over", "why", "source", 551.0, 500.0, "V", margin=-0.102)


@pytest.mark.parametrize(
    ("figure", "limit", "unit", "lower", "long", "brief"),
    [
        (551.0, 500.0, "V", False, "51 V over, 10 %", "10 % over"),
        (427.0, 425.0, "V", False, "2 V over, 0.5 %", "0.5 % over"),
        (470.0, 500.0, "V", False, "6 % inside", "6 % inside"),
        (500.0, 500.0, "V", False, "0 % inside", "0 % inside"),
        (45.0, 50.0, "ohm", True, "5 ohm short, 10 %", "10 % short"),
        (71.0, 50.0, "ohm", True, "42 % inside", "42 % inside"),
        (-47.0, -45.0, "V", True, "2 V short, 4 %", "4 % short"),
        (12.5, 10.0, "%", False, "2.5 points over", "2.5 points over"),
        (0.1, 0.0, "A", False, "100 mA over", "100 mA over"),
        (7600.0, 10.0, "s", False, "760 times the limit", "760 times it"),
        (1e6, 10.0, "s", False, "over 999 times the limit", "over 999 times it"),
    ],
)
def test_how_far_from_the_limit(
    figure: float, limit: float, unit: str, lower: bool, long: str, brief: str
) -> None:
    finding = replace(HELD, figure=figure, limit=limit, unit=unit, lower_limit=lower, margin=None)
    assert words.excess(finding) == long
    assert words.excess(finding, brief=True) == brief


def test_nothing_is_said_of_a_figure_without_a_limit() -> None:
    finding = replace(HELD, limit=None, margin=None)
    assert words.excess(finding) == ""
    assert words.against(finding) == "551 V"
    assert words.against(replace(finding, figure=None)) == ""


def test_a_minimum_is_called_one() -> None:
    assert words.against(replace(HELD, lower_limit=True)) == "551 V, at least 500 V"


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (441.2, "441"),
        (99.94, "99.9"),
        (99.96, "100"),
        (-37.04, "-37.0"),
        (6.3, "6.3"),
        (-0.02, "0.0"),
        (None, "-"),
    ],
)
def test_volts_in_tables(value: float | None, text: str) -> None:
    assert words.volts(value) == text


@pytest.mark.parametrize(
    ("value", "unit", "text"),
    [
        (0.231, "A", "231 mA"), (5.8, "%", "5.8 %"), (1.25, "", "1.25"),
        (2.0, "lumen", "2 lumen"), (None, "V", "-")
    ],
)  # fmt: skip
def test_amounts(value: float | None, unit: str, text: str) -> None:
    assert words.amount(value, unit) == text


def test_percentages_of_the_description_are_shares_of_one() -> None:
    assert words.assumed(0.08, "%") == "8 %"


@pytest.mark.parametrize(("seconds", "text"), [(41.0, "41 s"), (252.0, "4.2 min"), (None, "not by itself")])
def test_durations(seconds: float | None, text: str) -> None:
    assert words.duration(seconds) == text


def test_counts_in_words() -> None:
    assert words.of_these(1, 1) == "it"
    assert words.of_these(3, 3) == "all of these"
    assert words.of_these(7, 9) == "seven of these"
    assert words.of_these(13, 15) == "13 of these"
    assert [words.plural(n, "guess") for n in (0, 1, 2)] == ["0 guesses", "1 guess", "2 guesses"]
    assert words.plural(2, "default") == "2 defaults"


def test_control_and_direction_characters_are_left_out() -> None:
    assert words.plain("a\x1b[31mb\n\tc\u202ed\x07") == "a[31mb cd"


def test_signs_that_the_encoding_lacks_are_spelt_out() -> None:
    raw = io.BytesIO()
    file = io.TextIOWrapper(raw, encoding="ascii")
    words.console(file, width=60, colour=False).print(Text("4k7 Ω, 3 A²s, 47 µF, Verstärker"))
    file.flush()
    assert raw.getvalue().decode("ascii").strip() == "4k7 ohm, 3 A^2s, 47 uF, Verst?rker"


def test_no_color_is_honoured(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.setenv("FORCE_COLOR", "1")
    monkeypatch.setenv("TERM", "xterm")

    def shown() -> str:
        file = io.StringIO()
        words.console(file, width=40).print(words.verdict_text("marginal"))
        return file.getvalue().strip()

    assert shown() == "\x1b[33mmarginal\x1b[0m"
    monkeypatch.setenv("NO_COLOR", "1")
    assert shown() == "marginal"


def test_a_line_takes_the_longest_wording_that_fits() -> None:
    def shown(width: int) -> str:
        file = io.StringIO()
        words.console(file, width=width, colour=False).print(words.Fitting("one two three", "one two"))
        return file.getvalue().strip()

    assert shown(13) == "one two three"
    assert shown(12) == "one two"
    assert shown(5) == "one …"
