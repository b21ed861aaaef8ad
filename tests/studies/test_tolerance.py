"""The study over tolerances: its draws and corners, and that its sets are what single checks make of them."""

from __future__ import annotations

import json
from collections.abc import Sequence

import jsonschema
import numpy as np
import pytest
from scipy.stats import spearmanr

from psucheck.checks.limits import default_limits
from psucheck.circuit.build import build_network
from psucheck.circuit.condition import Condition
from psucheck.circuit.spice import write_deck
from psucheck.conditions.chains import start_states
from psucheck.conditions.run import Outcome
from psucheck.engine.jobs import SteadyJob, run_chain
from psucheck.engine.simulator import SimulationError
from psucheck.figures.kept import kept_numbers
from psucheck.figures.measure import measure, measure_coarse
from psucheck.figures.model import Figures
from psucheck.report.document import dump, schema
from psucheck.report.tolerance import tolerance_document
from psucheck.report.tolerance_view import ToleranceReport
from psucheck.studies import sets as worker
from psucheck.studies.many import Workers
from psucheck.studies.sets import Nominal, Some, run_sets, solve_nominal
from psucheck.studies.tolerance import draws, one_at_a_time, tolerance
from psucheck.studies.tolerance_options import Asked, BadOption, states_of
from psucheck.studies.tolerance_summary import corner
from psucheck.supply.fill import fill
from psucheck.supply.filled import FilledSupply
from psucheck.supply.model import Description
from psucheck.supply.reader import parse_description
from psucheck.supply.tolerances import Tolerance, tolerances
from psucheck.supply.varied import varied
from tests.conditions.supplies import SUPPLIES
from tests.tolerances import within

TEXT = SUPPLIES["bridge"]
ONLY = ("mains", "filter.reservoir.*", "loads.output.valves")
ASKED = Asked(sets=45, seed=3, states=("idle", "valves out"), only=ONLY)


@pytest.fixture(scope="session")
def description() -> Description:
    return parse_description(TEXT, "bridge")


@pytest.fixture(scope="session")
def report(description: Description) -> ToleranceReport:
    return tolerance(description, ASKED, Workers(2))


@pytest.fixture(scope="session")
def nominal(description: Description) -> Nominal:
    filled = fill(description.found)
    conditions = [Condition(state, "nominal", filled.mains.nominal) for state in ASKED.states]
    return solve_nominal(filled, filled, conditions, _off(filled), default_limits())


def _off(filled: FilledSupply) -> tuple[Tolerance, ...]:
    wanted = ("mains", "loads.output.valves")
    return tuple(t for t in tolerances(filled) if t.key in wanted or t.key.startswith("filter.reservoir"))


# --- draws and corners ------------------------------------------------------------------------------------

OFF = (
    Tolerance("even", 0.8, 1.2, "", "read"),
    Tolerance("peak", 0.8, 1.2, "", "read", "peaked"),
    Tolerance("below", 0.25, 1.0, "", "read"),
    Tolerance("above", 1.0, 1.1, "", "guess", "peaked"),
)


def test_the_same_seed_draws_the_same_sets_and_the_first_of_many_are_those_of_few() -> None:
    many = draws(OFF, 1000, 7)
    assert (many == draws(OFF, 1000, 7)).all()
    assert (many[:100] == draws(OFF, 100, 7)).all()
    assert (many != draws(OFF, 1000, 8)).any()


def test_draws_have_their_shapes() -> None:
    even, peak, below, above = draws(OFF, 20_000, 1).T
    assert np.abs([even, peak, below, above]).max() <= 1.0
    for both in (even, peak):
        assert np.mean(both < 0) == pytest.approx(0.5, abs=0.02)
    # Quartiles: of what is uniform on -1 to 1 a half; of the triangle 1 - sqrt(1/2).
    assert np.quantile(even, 0.75) == pytest.approx(0.5, abs=0.03)
    assert np.quantile(peak, 0.75) == pytest.approx(1 - np.sqrt(0.5), abs=0.02)
    assert below.max() <= 0.0
    assert np.median(below) == pytest.approx(-0.5, abs=0.02)
    assert above.min() >= 0.0
    assert np.median(above) == pytest.approx(1 - np.sqrt(0.5), abs=0.02)


def test_a_corner_takes_the_end_of_each_value_that_moves_the_figure_its_way() -> None:
    low, high = np.array([9.0, 11.0, 10.0, 9.5]), np.array([11.0, 9.0, 10.001, 9.0])
    assert corner(10.0, low, high, 1.0) == (1, -1, 0, 0)
    assert corner(10.0, low, high, -1.0) == (-1, 1, 0, 1)


def test_one_at_a_time_is_each_end_by_itself() -> None:
    ends = one_at_a_time(3)
    assert (np.abs(ends).sum(axis=1) == 1.0).all()
    assert (ends[0::2] == -ends[1::2]).all()


# --- the sets ---------------------------------------------------------------------------------------------


def _from_cold(nominal: Nominal, shares: Sequence[float], *, fine: bool) -> list[Figures]:
    """The set searched for from first guesses, as a single check does."""
    plan = nominal.plan
    factors = {t.key: t.factor(s) for t, s in zip(plan.tolerances, shares, strict=True)}
    supply = varied(plan.filled, factors)
    found = []
    for one in plan.known:
        condition = Condition(one.condition.state, "nominal", supply.mains.nominal)
        network = build_network(supply, condition, plan.readings)
        job = SteadyJob(write_deck(network), start_states(network), loaded=one.loaded, fine=fine)
        outcome = Outcome(condition, network, run_chain([job])[0])
        found.append(measure(outcome) if fine else measure_coarse(outcome))
    return found


@pytest.mark.parametrize("number", [0, 1, 2])
def test_a_set_found_from_nominal_is_the_set_found_from_cold(nominal: Nominal, number: int) -> None:
    shares = draws(nominal.plan.tolerances, 3, 5)[number]
    warm = run_sets(nominal.plan.packed(), shares[None, :]).figures[0]
    cold = {
        (f.state, path): value
        for f in _from_cold(nominal, list(shares), fine=False)
        for path, value in kept_numbers(f).items()
    }
    dc = [path for path in nominal.plan.paths if path[1].endswith(".dc")]
    assert len(dc) >= 8
    for path in dc:
        assert warm[nominal.plan.paths.index(path)] == within("same-solution", cold[path]), path


def test_at_nominal_it_agrees_with_a_single_check(nominal: Nominal) -> None:
    shares = np.zeros((1, len(nominal.plan.tolerances)))
    row = run_sets(nominal.plan.packed(), shares).figures[0]
    single = _from_cold(nominal, list(shares[0]), fine=True)
    assert (row == nominal.values()).all()
    for figures in single:
        for name, node in figures.nodes.items():
            at = nominal.plan.paths.index((figures.state, f"nodes.{name}.dc"))
            assert row[at] == within("dc", node.dc)


def test_a_set_hangs_on_no_other_set(nominal: Nominal) -> None:
    shares = draws(nominal.plan.tolerances, 3, 9)
    together = run_sets(nominal.plan.packed(), shares)
    turned = run_sets(nominal.plan.packed(), shares[::-1])
    assert (together.figures == turned.figures[::-1]).all()
    assert together.judged
    assert (together.broken == turned.broken[::-1]).all()


def test_a_set_that_cannot_be_solved_is_told_and_keeps_its_row(
    nominal: Nominal, monkeypatch: pytest.MonkeyPatch
) -> None:
    calls = iter(range(100))

    def failing(outcome: Outcome) -> Figures:
        if next(calls) == 2:  # the first condition of the second set
            raise SimulationError("no periodic steady state found")
        return measure_coarse(outcome)

    monkeypatch.setattr(worker, "measure_coarse", failing)
    some = run_sets(nominal.plan.packed(), draws(nominal.plan.tolerances, 3, 9))
    assert some.failed == {1: "no periodic steady state found"}
    assert np.isnan(some.figures[1]).all()
    assert np.isfinite(some.figures[[0, 2]]).all()


# --- the study --------------------------------------------------------------------------------------------


def test_one_process_and_two_give_the_same_bytes(report: ToleranceReport, description: Description) -> None:
    alone = tolerance(description, ASKED, Workers(1))
    assert dump(tolerance_document(alone)) == dump(tolerance_document(report))


def test_the_document_fits_its_schema(report: ToleranceReport) -> None:
    whole = {"$defs": schema()["$defs"], "$ref": "#/$defs/tolerance_document"}
    jsonschema.Draft202012Validator(whole).validate(json.loads(dump(tolerance_document(report))))


def test_ranges_lie_within_the_corners(report: ToleranceReport) -> None:
    assert (report.done, report.failed, report.stopped) == (45, 0, None)
    for one in report.figures:
        if one.path.endswith(".dc") and one.path.startswith("nodes"):
            assert one.lowest < one.p5 < one.nominal < one.p95 < one.highest, one.path


@pytest.fixture(scope="session")
def again(nominal: Nominal) -> Some:
    """The random sets of the study, run once more in this process."""
    return run_sets(nominal.plan.packed(), draws(nominal.plan.tolerances, ASKED.sets, ASKED.seed))


def test_drivers_are_told_by_spearmans_correlation(
    report: ToleranceReport, nominal: Nominal, again: Some
) -> None:
    plan = nominal.plan
    shares = draws(plan.tolerances, ASKED.sets, ASKED.seed)
    keys, drivers = [one.key for one in plan.tolerances], 0
    for one in (one for one in report.figures if one.path.endswith(".dc")):
        column = again.figures[:, plan.paths.index((one.state, one.path))]
        for driver in one.drivers:
            expected = spearmanr(shares[:, keys.index(driver.key)], column).statistic
            # The study's sets start nearer to their solutions: they end a little apart, and so may ranks.
            assert driver.correlation == pytest.approx(expected, abs=0.02)
            drivers += 1
        if (one.state, one.path) == ("valves out", "nodes.reservoir.dc"):
            assert [driver.key for driver in one.drivers] == ["mains"]
            assert one.drivers[0].correlation > 0.99
    assert drivers >= 8


def test_over_is_counted_set_by_set(report: ToleranceReport, again: Some) -> None:
    told = {(one.nominal.rule, one.nominal.subject): one.over for one in report.limits}
    for column, (rule, subject, _) in enumerate(again.judged):
        if sum(key[:2] == (rule, subject) for key in again.judged) == 1:
            assert told[rule, subject] == again.broken[:, column].sum(), rule
    assert report.over == again.broken.any(axis=1).sum()


def test_what_is_accepted_is_counted_apart(description: Description, report: ToleranceReport) -> None:
    over = next(one.nominal for one in report.limits if one.over)
    text = f'{TEXT}\n[accepted]\n"{over.rule} {over.subject}" = "stands so"\n'
    asked = Asked(sets=5, seed=3, states=ASKED.states, only=("mains",))
    accepted = tolerance(parse_description(text, "bridge"), asked, Workers(1))
    held = next(
        one for one in accepted.limits if (one.nominal.rule, one.nominal.subject) == (over.rule, over.subject)
    )
    assert held.accepted == "stands so"


# --- what cannot be asked ---------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("options", "said"),
    [
        ({"sets": 0}, "--sets 0: a whole number from 1 to 100000 is wanted"),
        ({"sets": 10**6}, "--sets 1000000: a whole number from 1 to 100000 is wanted"),
        ({"seed": -1}, "--seed -1: a whole number from 0 up is wanted"),
    ],
)
def test_options_out_of_range(options: dict[str, int], said: str) -> None:
    with pytest.raises(BadOption) as refused:
        Asked(**options)  # type: ignore[arg-type]
    assert str(refused.value) == said


@pytest.mark.parametrize(("text", "near"), [("idel", '"idle"'), ("", "any of"), ("switch-on", "any of")])
def test_states_that_cannot_be_studied(text: str, near: str) -> None:
    with pytest.raises(BadOption, match=near):
        states_of(text)


def test_states_are_read_once_each() -> None:
    assert states_of(" idle,valves out , idle") == ("idle", "valves out")


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        (Asked(sets=1, only=("filter.reservoir.inductance",)), "near it: "),
        (Asked(sets=1, only=("mains",), level="high"), "nothing else to be off"),
    ],
)
def test_nothing_to_be_off(description: Description, asked: Asked, said: str) -> None:
    with pytest.raises(BadOption, match=said):
        tolerance(description, asked, Workers(1))


def test_a_wall_that_was_not_read(description: Description) -> None:
    unread = parse_description(TEXT.replace('wall = "236 V"\n', ""), "bridge")
    with pytest.raises(BadOption, match="what the wall reads"):
        tolerance(unread, Asked(sets=1, level="wall"), Workers(1))
