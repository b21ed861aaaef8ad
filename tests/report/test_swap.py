from dataclasses import replace

import pytest
from syrupy.assertion import SnapshotAssertion

from psucheck.checks import bias_range
from psucheck.checks.finding import Finding
from psucheck.report import swap
from psucheck.report.screen import screen
from psucheck.report.view import Report, Tap
from tests.report.rendering import text


def columns(swapped: Report) -> list[tuple[str, Report]]:
    assert swapped.found is not None
    return [("as found", swapped.found), ("proposed", swapped)]


def row(shown: str, label: str) -> list[str]:
    line = next(line for line in shown.splitlines() if line.startswith(label + " "))
    return [cell.strip() for cell in line.removeprefix(label).split("  ") if cell.strip()]


@pytest.mark.parametrize("width", [80, 120])
def test_comparison(swapped: Report, width: int, snapshot: SnapshotAssertion) -> None:
    assert text(swap.comparison(columns(swapped)), width) == snapshot


def test_the_figures_are_those_at_the_wall(swapped: Report) -> None:
    shown = text(swap.comparison(columns(swapped)), 100)
    assert row(shown, "reservoir, idle") == ["423 V", "455 V"]
    assert row(shown, "reservoir, cold") == ["471 V", "506 V"]
    assert row(shown, "output anodes, each, idle") == ["14 W", "16.2 W"]
    assert row(shown, "heaters, idle") == ["6.2 V", "6.67 V"]
    assert row(shown, "ht winding current, full output") == ["218 mA", "234 mA"]


def test_a_third_column_for_a_reset_bias(swapped: Report) -> None:
    shown = text(screen(replace(swapped, reset=swapped)), 100)
    assert row(shown, "At the wall voltage") == ["as found", "proposed", "bias reset"]
    assert row(shown, "output grids, idle") == ["-36.4 V", "-39.1 V", "-39.1 V"]


def test_a_node_that_one_of_them_lacks_gets_a_hyphen(swapped: Report) -> None:
    assert swapped.found is not None
    runs = {
        name: replace(run, nodes={key: node for key, node in run.nodes.items() if key != "preamp"})
        for name, run in swapped.found.figures.items()
    }
    found = replace(swapped.found, figures=runs)
    shown = text(swap.comparison([("as found", found), ("proposed", swapped)]), 100)
    assert row(shown, "preamp, idle") == ["-", "340 V"]


def test_without_full_output_the_currents_are_those_at_idle(swapped: Report) -> None:
    runs = {name: run for name, run in swapped.figures.items() if run.state != "full output"}
    shown = text(swap.comparison([("as found", replace(swapped, figures=runs)), ("proposed", swapped)]), 100)
    assert row(shown, "ht winding current, idle") == ["111 mA", "111 mA"]


def test_taps(swapped: Report, snapshot: SnapshotAssertion) -> None:
    assert text(swap.taps(swapped.taps), 80) == snapshot


def test_a_heater_that_a_tap_does_not_tell_gets_a_hyphen() -> None:
    taps = (
        Tap("220 V", "reservoir", 531.0, 476.0, {"heaters": 7.0}),
        Tap("230 V", "reservoir", 506.0, 455.0, {}),
    )
    shown = text(swap.taps(taps), 80)
    assert row(shown, "220 V") == ["531 V", "476 V", "7 V"]
    assert row(shown, "230 V") == ["506 V", "455 V", "-"]


def test_the_bias_to_set_and_whether_the_pot_reaches(swapped: Report) -> None:
    wanted = Finding(
        bias_range.ID, "bias", "idle, wall mains", "over", "why", "source", 49.6, 45.0, "V", -0.1
    )
    unknown = Finding(bias_range.ID, "bias", None, "not checked", "why", "source", measure="its range")
    reports = [replace(swapped, findings=findings) for findings in ([], [wanted], [unknown])]
    shown = text(swap.comparison(list(zip("abc", reports, strict=True))), 100)
    assert row(shown, "bias to set, pot") == ["-", "-49.6 V over", "not checked"]
