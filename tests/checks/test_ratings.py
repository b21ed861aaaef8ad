from __future__ import annotations

from psucheck.checks import ratings
from psucheck.checks.ratings import Rated
from psucheck.parts.sourced import Sourced
from tests.checks import cases


def test_what_the_description_states_comes_before_the_library() -> None:
    supply = cases.supply(rectifiers={"ht": {"device": {"type": "GZ34", "peak_current": "825 mA"}}})
    device = ratings.device(supply.rectifiers["ht"].device)
    assert device.peak_current == Rated(0.825, "as given in the description")
    assert device.mean_current is not None
    assert device.mean_current.value == 0.250
    assert device.mean_current.recalled


def test_written_out_ratings_need_no_library() -> None:
    table = {"kind": "valve", "drop": "17 V at 225 mA", "source_resistance": "75 ohm"}
    device = ratings.device(cases.supply(rectifiers={"ht": {"device": table}}).rectifiers["ht"].device)
    assert (device.name, device.kind, device.part) == ("the device", "valve", None)
    assert device.source_resistance(350.0) == (Rated.given(75.0), None)
    assert device.reverse_voltage is None


def test_a_type_that_is_not_held_has_no_kind() -> None:
    device = ratings.device(cases.supply(rectifiers={"ht": {"device": "GZ99"}}).rectifiers["ht"].device)
    assert (device.name, device.kind, device.mean_current) == ("GZ99", None, None)


def test_only_a_shaky_memory_softens_a_breach() -> None:
    sure = Sourced[float](value=1.0, source="a sheet", status="recalled", confidence="high")
    shaky = sure.model_copy(update={"confidence": "low"})
    for entry, verdict in ((sure, "over"), (shaky, "marginal")):
        finding = ratings.hold_upper("rule", "part", None, 2.0, Rated.held(entry), "A", why="")
        assert (finding.verdict, finding.guessed) == (verdict, True)
