"""Comparators give true circuits; the arc model against every partition; invented shops plan."""

import json
from time import monotonic

import networkx as nx
import pytest

from benchmarks.arcs import ArcModel
from benchmarks.generate import generated
from benchmarks.groupings import cost_of_set
from benchmarks.shops import WAYS, circuits_of, compare, priced, write_csv
from models.price_book import PriceBook
from models.shop_file import parse_shop
from solver.plan import plan_shop
from solver.solve import Control
from tests.dealt_out import dealt_out
from tests.violations import violations


def cheapest_tree(arcs, part):
    """Least cost of one circuit of some units in the model's own prices: any first unit, then a
    spanning tree; arcs cost the same both ways. By networkx.
    """
    graph: nx.Graph[int] = nx.Graph()
    graph.add_nodes_from(part)
    for (a, b), cost in arcs.step.items():
        if a in part and b in part:
            graph.add_edge(a, b, weight=cost)
    if not nx.is_connected(graph):
        return None
    tree = nx.minimum_spanning_tree(graph)
    return min(arcs.opening[i] for i in part) + int(tree.size(weight="weight"))


@pytest.mark.parametrize("way", WAYS)
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_every_grouping_is_a_partition_into_circuits(way, seed):
    circuits = circuits_of(generated(seed, 8), PriceBook.read())
    groups = WAYS[way](circuits, monotonic() + 10)
    assert sorted(item for group in groups for item in group) == list(
        range(len(circuits.points.items))
    )
    assert all(cost_of_set(circuits, group) is not None for group in groups)


def test_out_of_time_the_arc_model_still_gives_circuits():
    circuits = circuits_of(generated(4, 12), PriceBook.read())
    groups = WAYS["arc model"](circuits, monotonic())
    assert sorted(i for group in groups for i in group) == list(range(len(circuits.points.items)))
    assert all(cost_of_set(circuits, group) is not None for group in groups)


@pytest.mark.parametrize("seed", [1, 5, 6, 7])
def test_arc_model_equals_brute_force(seed):
    circuits = circuits_of(generated(seed, 5), PriceBook.read())
    model = ArcModel(circuits)
    found = model.solve(monotonic() + 300)
    assert found.proved
    arcs, best = model.arcs, None
    for parts in dealt_out(range(len(arcs.units))):
        sets = [frozenset().union(*(arcs.units[i] for i in part)) for part in parts]
        if any(cost_of_set(circuits, one) is None for one in sets):
            continue
        trees = [cheapest_tree(arcs, part) for part in parts]
        if None not in trees and (best is None or sum(trees) < best):
            best = sum(trees)
    assert found.value == best


def test_generated_shops_repeat_and_differ():
    assert generated(1, 20) == generated(1, 20)
    assert generated(1, 20) != generated(2, 20)


@pytest.mark.parametrize(("boxes", "panels"), [(20, 1), (120, 2), (700, 4)])
def test_generated_shops_read_without_problems(boxes, panels):
    shop = generated(3, boxes, panels=panels, junctions=2)
    assert len(shop.boxes) == boxes
    assert len(shop.supply.panels) == panels
    read = parse_shop(json.dumps(shop.canonical(), indent=1))  # raises with every problem
    assert read.canonical() == shop.canonical()


def test_generated_shop_plans_without_violations():
    plan = plan_shop(generated(1, 8), PriceBook.read(), Control(effort=1)).plan
    assert plan is not None
    assert violations(plan.findings) == []


def test_table_and_csv(tmp_path):
    rows = compare(generated(1, 6), "small", "no pairs", priced(PriceBook.read(), 4), 10)
    assert [row.way for row in rows] == [*WAYS, "planner"]
    costs = [row.cost_usd for row in rows if row.cost_usd is not None]
    assert rows[-1].cost_usd == min(costs)  # so few items: the planner looks at every set
    write_csv(tmp_path / "t.csv", rows)
    lines = (tmp_path / "t.csv").read_text(encoding="utf-8").splitlines()
    assert len(lines) == len(rows) + 1
