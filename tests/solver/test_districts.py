"""Large shops: items dealt to districts, routes without joints made ahead, whole plans."""

from itertools import chain

import pytest

from benchmarks.halls import hall
from models.price_book import PriceBook
from models.shop_file import read_shop
from solver.catalogue import Catalogue
from solver.circuit import Circuits
from solver.districts import MOST_ITEMS, boxes_of_item, bundles, deal, district_of, places_of
from solver.plan import plan_shop
from solver.points import Points
from solver.route_graph import RouteGraph
from solver.routes import Ways
from solver.shortest import Shortest
from solver.solve import Control
from solver.sparse import SparseGraph, SparseShortest, is_large
from tests.demo_shops import DEMO_SHOPS


def circuits_of(shop):
    return Circuits(shop, Points(shop), Ways(shop), Catalogue(shop, PriceBook.read()))


@pytest.fixture(scope="module")
def circuits():
    """An invented hall of 260 receptacles and three panels."""
    return circuits_of(hall(2, 260))


@pytest.mark.parametrize("shifted", [False, True])
def test_every_item_is_in_one_district_and_none_is_much_larger_than_others(circuits, shifted):
    dealt = deal(bundles(circuits), places_of(circuits), shifted=shifted)
    assert sorted(chain.from_iterable(dealt)) == list(range(len(circuits.points.items)))
    assert max(map(len, dealt)) <= MOST_ITEMS
    assert len(dealt) <= len(circuits.points.items) / (MOST_ITEMS / 2)


def test_what_must_be_together_is_in_one_district(circuits):
    """Items of one box, and a machine that the planner places with what it may plug into."""
    items = circuits.points.items
    district = {
        item: number
        for number, dealt in enumerate(deal(bundles(circuits), places_of(circuits)))
        for item in dealt
    }
    at: dict[str, set[int]] = {}
    named = {point.id: number for number, item in enumerate(items) for point in item.points}
    wanting = 0
    for number, item in enumerate(items):
        for box in boxes_of_item(item):
            at.setdefault(box, set()).add(district[number])
        for point in item.points:
            wanting += bool(point.options)
            assert {district[named[name]] for name in point.options} <= {district[number]}
    assert wanting > 5
    assert all(len(found) == 1 for found in at.values())


def test_districts_cut_elsewhere_are_other_districts(circuits):
    together, places = bundles(circuits), places_of(circuits)
    usual, shifted = deal(together, places), deal(together, places, shifted=True)
    assert set(usual).isdisjoint(shifted)


def test_a_district_is_fed_by_the_panels_nearest_to_it(circuits):
    places, ways = places_of(circuits), circuits.ways
    for items in deal(bundles(circuits), places):
        found = district_of(circuits, items, places)
        for item in items:

            def away(name, here=places[item]):
                return sum(abs(a - b) for a, b in zip(here, ways.places[name], strict=True))

            assert min(away(name) for name in found.sources) == min(map(away, circuits.panels))
        assert set(found.junctions) <= set(circuits.junctions)


@pytest.mark.parametrize("name", DEMO_SHOPS)
def test_ways_without_joints_made_ahead_are_as_short(request, name):
    """Against the graph with all of them, which `test_routes.py` holds against SciPy on a grid."""
    shop = read_shop(request.config.rootpath / "scenarios" / f"{name}.yaml")
    whole = Shortest(RouteGraph(shop, "cable"))
    sparse = SparseShortest(SparseGraph(shop, "cable"))
    names = sorted(shop.enclosures)
    pairs = [(a, b) for a in names for b in names if a < b]
    assert len(pairs) > 60
    for start, end in pairs:
        assert sparse.counts(start, end) == whole.counts(start, end), (start, end)


def test_a_large_hall_is_planned_without_violations_and_twice_the_same():
    shop = hall(1, 130)
    assert is_large(shop)
    plans = [plan_shop(shop, PriceBook.read(), Control(effort=1)).plan for _ in range(2)]
    assert plans[0] is not None
    assert [f.says for f in plans[0].findings if f.severity == "violation"] == []
    assert {circuit.panel for circuit in plans[0].circuits} == {"P1", "P2"}
    assert plans[1] is not None
    assert plans[0].model_dump_json() == plans[1].model_dump_json()
