import pytest

from psucheck.supply import topology
from psucheck.supply.errors import DescriptionError
from psucheck.supply.model import Node, Rectifier, Supply
from psucheck.supply.topology import Source, TopologyError
from tests.supply.sketch import read


def _supply(nodes: dict[str, str | None], rectifiers: dict[str, str] | None = None) -> Supply:
    """Nodes by name with their ``from``, rectifiers by name with their polarity."""
    made = {name: Node.model_validate({"from": source} if source else {}) for name, source in nodes.items()}
    standing = {
        name: Rectifier.model_validate(
            {"circuit": "half-wave", "winding": "ht", "device": "1N4007", "polarity": polarity}
        )
        for name, polarity in (rectifiers or {"ht": "positive"}).items()
    }
    return read().model_copy(update={"filter": made, "rectifiers": standing})


def test_each_node_is_fed_from_the_one_above_it() -> None:
    fed = topology.parents(_supply({"a": None, "b": None, "c": None}))
    assert fed == {"a": Source("rectifier", "ht"), "b": Source("node", "a"), "c": Source("node", "b")}


def test_from_leads_elsewhere_and_the_next_follows_the_drawing() -> None:
    fed = topology.parents(_supply({"a": None, "b": None, "c": "a", "d": None}))
    assert fed["c"] == Source("node", "a")
    assert fed["d"] == Source("node", "c")


def test_a_node_may_be_fed_from_one_below_it() -> None:
    fed = topology.parents(_supply({"a": "b", "b": "rectifiers.ht"}))
    assert fed == {"a": Source("node", "b"), "b": Source("rectifier", "ht")}


def test_the_first_node_takes_the_only_positive_rectifier() -> None:
    supply = _supply({"a": None}, {"bias": "negative", "ht": "positive"})
    assert topology.parents(supply)["a"] == Source("rectifier", "ht")


@pytest.mark.parametrize(
    "rectifiers", [{"one": "positive", "two": "positive"}, {"bias": "negative"}], ids=["two", "none"]
)
def test_the_first_node_must_say_which(rectifiers: dict[str, str]) -> None:
    with pytest.raises(TopologyError, match=r'from = "rectifiers\.NAME"') as raised:
        topology.parents(_supply({"a": None}, rectifiers))
    assert raised.value.node == "a"


def test_middles() -> None:
    supply = _supply({"a": "rectifiers.ht", "b": "rectifiers.ht middle", "c": "a middle"})
    fed = topology.parents(supply)
    assert fed["b"] == Source("rectifier middle", "ht")
    assert fed["c"] == Source("node middle", "a")
    assert topology.root_of(supply, "c") == Source("rectifier", "ht")
    assert topology.root_of(supply, "b") == Source("rectifier middle", "ht")
    assert topology.rectifier_of(supply, "b") == "ht"
    assert topology.first_nodes(supply, "ht") == ["a"]


def test_a_node_whose_name_ends_in_middle_is_a_node() -> None:
    fed = topology.parents(_supply({"the middle": None, "b": "the middle"}))
    assert fed["b"] == Source("node", "the middle")


@pytest.mark.parametrize("text", ["nowhere", "rectifiers.none", "rectifiers.ht lower", "nowhere middle", ""])
def test_a_from_that_leads_nowhere(text: str) -> None:
    supply = _supply({"a": None, "b": "a"})
    broken = supply.filter["b"].model_copy(update={"from_": text})
    supply = supply.model_copy(update={"filter": {**supply.filter, "b": broken}})
    with pytest.raises(TopologyError, match="no node, and no rectifier") as raised:
        topology.parents(supply)
    assert raised.value.node == "b"


@pytest.mark.parametrize(
    "nodes",
    [
        {"a": "a"},
        {"a": "b", "b": "a"},
        {"r": "rectifiers.ht", "a": "c", "b": "a", "c": "b"},
        {"a": "a middle"},
    ],
)
def test_rings(nodes: dict[str, str | None]) -> None:
    with pytest.raises(TopologyError, match="in a ring"):
        topology.parents(_supply(nodes))


def test_the_sign_of_a_rail_is_its_rectifiers() -> None:
    supply = _supply(
        {"a": "rectifiers.ht", "b": "rectifiers.bias", "c": None}, {"ht": "positive", "bias": "negative"}
    )
    assert [topology.is_negative(supply, name) for name in "abc"] == [False, True, True]


def test_children_and_all_below() -> None:
    supply = _supply({"a": None, "b": None, "c": "a", "d": None})
    assert topology.children(supply, "a") == ["b", "c"]
    assert list(topology.below(supply, "a")) == ["a", "b", "c", "d"]
    assert list(topology.below(supply, "c")) == ["c", "d"]
    assert topology.children(supply, "d") == []


BACK_BIAS = (
    '[series]\n"centre tap ht" = {standing}\n'
    '[filter.grids]\nfrom = "{place}"\nresistor = "10k"\n[filter.further]\nfrom = "grids"\nresistor = "10k"'
)


@pytest.mark.parametrize("place", ["centre tap ht", "CT ht", "Center Tap HT"])
def test_a_node_may_be_fed_from_the_resistor_of_a_back_bias(place: str) -> None:
    supply = read(more=BACK_BIAS.format(standing='"100 ohm 5 W"', place=place))
    assert topology.parents(supply)["grids"] == Source("place", "centre tap ht")
    assert topology.root_of(supply, "further") == Source("place", "centre tap ht")
    assert topology.rectifier_of(supply, "further") == "ht"
    assert topology.is_negative(supply, "further")
    assert not topology.is_negative(supply, "reservoir")
    assert topology.first_nodes(supply, "ht") == ["reservoir"]


def test_no_back_bias_at_a_zener_nor_behind_a_bridge() -> None:
    with pytest.raises(DescriptionError, match="no back bias is made"):
        read(more=BACK_BIAS.format(standing='"zener 12 V 5 W"', place="centre tap ht"))
    bridge = '[rectifiers.ht]\ncircuit = "bridge"\nwinding = "ht"\ndevice = "1N4007"'
    with pytest.raises(DescriptionError, match="no back bias is made"):
        read(rectifiers=bridge, more=BACK_BIAS.format(standing='"100 ohm 5 W"', place="centre tap ht"))
