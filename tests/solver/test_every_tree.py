"""Every tree of a tiny shop's circuit, against Prüfer's sequences and Cayley's count."""

from itertools import combinations, product

import networkx as nx
import pytest

from models.price_book import PriceBook
from models.shop import Shop
from solver.catalogue import Catalogue
from solver.circuit import Circuits
from solver.every_tree import home_trees, trees
from solver.points import Points
from solver.refusal import Refusal
from solver.routes import Ways
from tests.slow.tiny_shops import tiny_shop


@pytest.mark.parametrize("count", [3, 4, 5])
def test_trees_are_those_of_all_pruefer_sequences(count):
    """By networkx, n^(n-2) sequences (Cayley) decode into every labelled tree."""
    nodes = [f"n{number}" for number in range(count)]
    sequences = product(range(count), repeat=count - 2)
    wanted = {
        frozenset(frozenset((nodes[a], nodes[b])) for a, b in nx.from_prufer_sequence(one).edges)
        for one in map(list, sequences)
    }
    assert len(wanted) == count ** (count - 2)
    for root in nodes:
        found = list(trees(root, nodes))
        assert {frozenset(map(frozenset, tree)) for tree in found} == wanted
        assert len(found) == len(wanted)
        for tree in found:  # away from the root, each run from a box that is reached
            reached = {root}
            for start, end in tree:
                assert start in reached
                assert end not in reached
                reached.add(end)


def test_optional_boxes_are_on_the_way_to_others():
    """Each tree has one home run, all boxes, and no junction box at an end."""
    found = list(home_trees("P", ["a", "b"], ["J"]))
    assert len(found) == len(set(map(tuple, found)))
    for (root, _), *rest in found:
        assert root == "P"
        assert all(start != "P" for start, _ in rest)
    used = [tree for tree in found if any(end == "J" for _, end in tree)]
    assert all(any(start == "J" for start, _ in tree) for tree in used)
    # 3 trees over a, b, J; homes: 3 each, less those where J hangs at an end
    ends = sum(
        (home == "J") + (degree > 1)
        for pair in combinations("abJ", 2)
        for home in "abJ"
        for degree in [sum("J" in edge for edge in combinations("abJ", 2) if set(edge) != {*pair})]
        if not (home == "J" and degree > 1)
    )
    both = sum(
        sum("J" in edge for edge in combinations("abJ", 2) if set(edge) != {*pair}) > 1
        for pair in combinations("abJ", 2)
    )
    assert len(used) == ends + both


@pytest.mark.parametrize("seed", [11, 17, 63])
def test_the_cheapest_circuit_of_every_set_is_there_as_well(seed):
    """More trees leave nothing out: of every set the least cost is the same or, where a longer
    tree loses too much voltage, there is one at all.
    """
    shop = Shop.model_validate(tiny_shop(seed))
    ways, catalogue = Ways(shop), Catalogue(shop, PriceBook.read())
    few, all_of = (
        Circuits(shop, Points(shop), ways, catalogue, every_tree=every) for every in (False, True)
    )
    more = 0
    for size in range(1, 4):
        for items in map(frozenset, combinations(range(len(few.points.items)), size)):
            one, other = few.candidates(items), all_of.candidates(items)
            if not isinstance(one, Refusal):
                assert not isinstance(other, Refusal)
                assert min(c.cost for c in other) <= min(c.cost for c in one)
                more += len(other) > len(one)
    assert more
