"""Trees against SciPy's minimum spanning tree and against every tree there is."""

import itertools
import math
import random

import numpy as np
import pytest
from scipy.sparse.csgraph import minimum_spanning_tree

from solver.tree import NO_WAY, best_tree, rooted, spanning_edges


def symmetric(rng: random.Random, nodes: list[str]) -> dict[tuple[str, str], int]:
    """Random costs between all pairs, the same both ways."""
    costs = {}
    for a, b in itertools.combinations(nodes, 2):
        costs[a, b] = costs[b, a] = rng.randrange(1, 1000)
    return costs


@pytest.mark.parametrize("seed", range(20))
def test_spanning_cost_equals_scipy(seed):
    """Prim's total equals scipy.sparse.csgraph.minimum_spanning_tree on random complete graphs."""
    rng = random.Random(seed)
    nodes = [f"n{i}" for i in range(rng.randrange(2, 12))]
    costs = symmetric(rng, nodes)
    matrix = np.array([[costs.get((a, b), 0) for b in nodes] for a in nodes])
    found = spanning_edges(nodes, rows(costs))
    assert found is not None
    assert found[0] == int(minimum_spanning_tree(matrix).sum())
    assert len(found[1]) == len(nodes) - 1


def every_tree(nodes: list[str]) -> itertools.chain[tuple[tuple[str, str], ...]]:
    """All spanning trees, by trying every set of edges of the right size."""
    edges = list(itertools.combinations(nodes, 2))
    chosen = itertools.combinations(edges, len(nodes) - 1)
    return itertools.chain(e for e in chosen if len({b for _, b in rooted(nodes[0], e)}) == len(e))


def rows(costs: dict[tuple[str, str], int]) -> dict[str, dict[str, int]]:
    """The same costs by the first end and the second."""
    ends = {a for a, _ in costs}
    return {a: {b: costs[a, b] for b in ends if (a, b) in costs} for a in ends}


def best_joining(panel, boxes, optional, costs, extra):
    """`best_tree` with Prim's trees."""
    return best_tree(
        panel, boxes, optional, costs, lambda nodes: spanning_edges(nodes, costs), extra
    )


@pytest.mark.parametrize("seed", range(15))
def test_best_tree_equals_brute_force_over_trees_and_junction_boxes(seed):
    """One home run, optional junction boxes: the least over every tree on every subset."""
    rng = random.Random(seed)
    boxes, optional = ["a", "b", "c"], ["J", "K"]
    nodes = ["P", *boxes, *optional]
    costs = symmetric(rng, nodes)
    extra = {node: rng.randrange(0, 300) for node in nodes}
    best = best_joining("P", boxes, optional, rows(costs), extra.__getitem__)
    assert best is not None
    least = min(
        sum(costs[edge] for edge in tree) + costs["P", home] + extra[home]
        for size in range(3)
        for chosen in itertools.combinations(optional, size)
        for tree in every_tree([*boxes, *chosen])
        for home in [*boxes, *chosen]
    )
    assert best.cost == least
    walked = sum(costs[edge] for edge in best.edges) + extra[best.home]
    assert walked == best.cost
    assert [edge for edge in best.edges if edge[0] == "P"] == [("P", best.home)]


def test_many_junction_boxes_are_chosen_nearly_as_well_as_by_trying_every_set():
    """Six places for junction boxes on a plane, more than are tried in every combination."""
    least: list[int] = []
    found: list[int] = []
    one: list[int] = []
    optional = ["J", "K", "L", "M", "N", "O"]
    for seed in range(30):
        rng = random.Random(seed)
        boxes = ["a", "b", "c", "d", "e"]
        place = {node: (rng.randrange(100), rng.randrange(100)) for node in [*boxes, *optional]}
        place["P"] = (0, 0)
        costs = {
            (a, b): round(100 * math.dist(place[a], place[b]))
            for a, b in itertools.permutations(place, 2)
        }
        for size, into in ((6, least), (1, one)):
            sets = (c for n in range(size + 1) for c in itertools.combinations(optional, n))
            trees = (best_joining("P", [*boxes, *c], [], rows(costs), lambda _: 0) for c in sets)
            into.append(min(tree.cost for tree in trees if tree is not None))
        best = best_joining("P", boxes, optional, rows(costs), lambda _: 0)
        assert best is not None
        assert sum(costs[edge] for edge in best.edges) == best.cost
        found.append(best.cost)
    assert all(a <= b <= c for a, b, c in zip(least, found, one, strict=True))
    assert sum(a == b for a, b in zip(least, found, strict=True)) >= 28
    assert sum(found) < sum(one)


def test_boxes_that_cannot_be_joined_have_no_tree():
    costs = {"P": {"a": 1, "b": NO_WAY}, "a": {"b": NO_WAY}, "b": {"a": NO_WAY}}
    assert best_joining("P", ["a", "b"], [], costs, len) is None
