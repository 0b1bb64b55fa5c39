"""Large shops: items dealt to districts, routes without joints made ahead, whole plans."""

from itertools import chain

import pytest

from benchmarks.halls import hall
from models.price_book import PriceBook
from models.shop_file import read_shop
from solver.causes import Explainer
from solver.districts import MOST_ITEMS, boxes_of_item, bundles, deal, district_of, places_of
from solver.large import impossible_items
from solver.plan import plan_shop
from solver.route_graph import RouteGraph
from solver.shortest import Shortest
from solver.solve import Control
from solver.sparse import SparseGraph, SparseShortest, is_large
from solver.trials import quick_pool
from tests.demo_shops import DEMO_SHOPS
from tests.solver.conftest import circuits_of


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


@pytest.fixture
def small_is_large(monkeypatch):
    """Halls of more than 60 boxes count as large, so that these tests are quick."""
    monkeypatch.setattr("solver.sparse.MOST_BOXES", 60)


def without_a_circuit(shop):
    """The same with one hard-wired machine that draws more than any circuit gives."""
    data = shop.canonical()
    machine = next(one for one in data["machines"] if "hard_wired_at" in one)
    machine.pop("motor", None)
    machine["marked"] = "95 A"
    return type(shop).model_validate(data), machine["hard_wired_at"]


def test_what_is_on_no_circuit_is_said_as_if_all_the_shop_had_been_looked_at(small_is_large):
    shop, box = without_a_circuit(hall(1, 60))
    circuits = circuits_of(shop)
    found = impossible_items(circuits, Control().over)
    assert found == Explainer(circuits_of(shop)).impossible_items()
    assert [cause.where for cause in found] == [box]


def test_only_districts_in_doubt_are_looked_at_in_the_whole_shop(small_is_large, monkeypatch):
    shop, _ = without_a_circuit(hall(1, 120))
    circuits = circuits_of(shop)
    asked = []
    alone = Explainer._alone

    def asking(self, number):
        asked.append(self.circuits is circuits)
        return alone(self, number)

    monkeypatch.setattr(Explainer, "_alone", asking)
    assert impossible_items(circuits, Control().over)
    assert 0 < sum(asked) < len(circuits.points.items) / 2


def test_a_trial_of_a_large_shop_is_searched_by_districts(small_is_large, monkeypatch):
    def whole_shop(*_):
        raise AssertionError("the whole shop was searched at once")

    monkeypatch.setattr("solver.trials.Search", whole_shop)
    circuits = circuits_of(hall(1, 60))
    pool = quick_pool(circuits, Control(effort=1))
    (first,) = pool.firsts
    assert sorted(item for made in first for item in made.items) == list(
        range(len(circuits.points.items))
    )


def test_a_trial_of_a_large_shop_ends_with_the_time(small_is_large):
    control = Control(effort=1)
    control.stop()
    assert quick_pool(circuits_of(hall(1, 60)), control).firsts == ()
