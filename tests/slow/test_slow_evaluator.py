"""Every number of finished plans, against the slow evaluator.

Plans: those on file, the demo shops that can be planned, random small shops, special and varied
garages, and shops that are wired already, as they are.
"""

import copy
import json

import pytest

from models.price_book import PriceBook
from models.shop import Shop
from models.shop_edit import Change, changed
from models.shop_file import read_shop
from solver.as_built import as_built_plan
from solver.plan import plan_shop
from solver.scope import is_as_built
from solver.solve import Control
from tests.demo_shops import SCENARIOS
from tests.slow.evaluator import objections
from tests.slow.plans_on_file import ROOT, book_prices, plan_on_file
from tests.slow.varied_garages import varied_garage
from tests.solver.test_later_plugs import plug_shop
from tests.solver.test_rooms import roomy_shop
from tests.solver.test_special_shops import SHOPS as SPECIAL_SHOPS

# Not the others: the evaluator has no 314.28 (4 AWG in boxes), and counts out every state, of which
# the makerspace has too many.
PLANNED = ("one_bay_garage", "half_wired_metal_shop", "two_person_instrument_shop")


def as_read(plan):
    """A plan as a reader of its file has it."""
    return json.loads(plan.model_dump_json())


def planned(shop, effort=1):
    """The plan of a shop as plain data; None when there is none."""
    plan = plan_shop(shop, PriceBook.read(), Control(effort=effort), explain=False).plan
    return None if plan is None else as_read(plan)


@pytest.fixture(scope="module")
def garage():
    return read_shop(SCENARIOS / "one_bay_garage.yaml")


PLANS_ON_FILE = ("four_box", "one_bay_garage", "machines_to_come", "plugs_to_come")


# Plans without a fault


@pytest.mark.parametrize("name", PLANNED)
def test_demo_shops(name):
    plan = planned(read_shop(SCENARIOS / f"{name}.yaml"))
    assert plan is not None
    assert objections(plan, book_prices()) == []


@pytest.mark.parametrize("name", PLANS_ON_FILE)
def test_plans_on_file(name):
    assert objections(plan_on_file(name)) == []


def test_machines_to_come_with_a_plug():
    """Held by circuits, with two people or three at work, and with runs of their own."""
    plans = [planned(plug_shop(seed)) for seed in range(24)]
    held = [one for plan in plans if plan for one in plan["later_machines"] if one.get("held")]
    assert len(held) >= 10
    assert [objections(plan, book_prices()) for plan in plans if plan] == [
        [] for plan in plans if plan
    ]


def test_room_kept_in_raceways():
    """Some of them laid larger, for one machine that may come or two."""
    plans = [planned(roomy_shop(seed)) for seed in range(7, 14)]
    kept = [one for plan in plans if plan for one in plan["later_machines"] if one.get("room")]
    assert kept
    assert any(laid["instead_of"] for one in kept for laid in one.get("laid", ()))
    assert [objections(plan, book_prices()) for plan in plans if plan] == [
        [] for plan in plans if plan
    ]


@pytest.mark.parametrize("name", SPECIAL_SHOPS)
def test_special_shops(name, garage):
    plan = planned(changed(garage, SPECIAL_SHOPS[name]))
    assert plan is not None
    assert objections(plan, book_prices()) == []


def test_random_shops(make_shop):
    _random_shops(make_shop, range(200, 236))


@pytest.mark.long
def test_many_random_shops(make_shop):
    _random_shops(make_shop, range(1000, 1200))


def _random_shops(make_shop, seeds):
    plans = {seed: planned(make_shop(seed, boxes=3 + seed % 4)) for seed in seeds}
    found = {seed: objections(plan, book_prices()) for seed, plan in plans.items() if plan}
    assert {seed: told for seed, told in found.items() if told} == {}
    assert len(found) >= len(seeds) * 3 // 4


def test_varied_garages(garage):
    _varied_garages(garage, range(6))


@pytest.mark.long
def test_many_varied_garages(garage):
    _varied_garages(garage, range(100, 180))


def _varied_garages(garage, seeds):
    plans = {seed: planned(varied_garage(garage, seed)) for seed in seeds}
    found = {seed: objections(plan, book_prices()) for seed, plan in plans.items() if plan}
    assert {seed: told for seed, told in found.items() if told} == {}
    assert len(found) >= len(seeds) * 3 // 4


# Shops that are wired already


AS_BUILT: dict[str, list[Change]] = {
    "as it is": [],
    "hot over the ceiling": [("building.ambient", {"room": "38 C", "attic": "60 C"})],
    "a cool room in a hot shed": [
        ("building.ambient", {"room": "44 C", "attic": "50 C"}),
        ("building.areas[cool]", {"from": ["0 ft", "0 ft"], "to": ["6 ft", "10 ft"],
                                  "ambient": "25 C"}),
    ],
    "runs on the ceiling": [("building.ceiling_runs", "surface")],
    "sixty-degree terminals": [("supply.panels[P].terminals", "60 C")],
    "nobody knows the terminals": [("supply.panels[P].terminals", None)],
    "long hours": [("machines[heater].continuous", "yes"), ("machines[press].continuous", "yes")],
    "a motor": [("machines[press].marked", None), ("machines[press].motor", "1/2 hp")],
    "one person": [("use.days[usual].people", 1)],
    "a person in each half": [
        ("building.zones[here]", {"from": ["0 ft", "0 ft"], "to": ["6 ft", "10 ft"]}),
        ("building.zones[there]", {"from": ["6 ft", "0 ft"], "to": ["12 ft", "10 ft"]}),
        ("use.days[usual].people", {"here": 1, "there": 0}),
    ],
}  # fmt: skip


@pytest.mark.parametrize("name", AS_BUILT)
def test_a_wired_shed_as_it_is(name):
    shop = changed(read_shop(ROOT / "tests" / "shops" / "as_built.yaml"), AS_BUILT[name])
    assert is_as_built(shop)
    assert objections(as_read(as_built_plan(shop, PriceBook.read()))) == []


def test_planned_shops_once_they_are_wired(make_shop):
    """A plan written down as what is there; boxes on two circuits cannot be, so they are left."""
    tried = 0
    for seed in range(200, 225):
        plan = planned(make_shop(seed, boxes=3 + seed % 4))
        if plan is None or any(len(on) > 1 for on in circuits_of_boxes(plan).values()):
            continue
        built = as_read(as_built_plan(once_wired(plan), PriceBook.read()))
        assert objections(built) == [], seed
        assert worst_states(built) == worst_states(plan)
        tried += 1
    assert tried >= 5


def worst_states(plan):
    """What loads each circuit most."""
    return {circuit["id"]: circuit["worst"] for circuit in plan["circuits"]}


def circuits_of_boxes(plan):
    """The circuits that each box has an outlet on."""
    found: dict[str, set[str]] = {}
    for outlet in plan["outlets"]:
        found.setdefault(outlet["box"], set()).add(outlet["circuit"])
    return found


def once_wired(plan):
    """The shop of a plan in which the plan has been built: its circuits are existing ones."""
    shop = copy.deepcopy(plan["source"]["shop"])
    yokes = {outlet["id"]: outlet["yoke"] for outlet in plan["outlets"]}
    chosen = {machine["id"]: machine["outlet"] for machine in plan["machines"]}
    for machine in shop.get("machines", []):
        machine["plugs_into"] = yokes[chosen[machine["id"]]]
    shop["existing"] = [
        {
            "id": circuit["id"],
            "panel": circuit["panel"],
            "spaces": circuit["breaker"]["spaces"],
            "breaker": f"{circuit['breaker']['amps']:g} A",
            "gfci": circuit["breaker"]["gfci"],
            "conductor": circuit["conductor"]["awg"],
            "known": "verified",
            "feeds": [run["end"] for run in circuit["runs"]],
            "runs": [
                {
                    "from": run["start"],
                    "to": run["end"],
                    "by": [[f"{value} ft" for value in point] for point in run["path"][1:-1]],
                }
                for run in circuit["runs"]
            ],
        }
        for circuit in plan["circuits"]
    ]
    return Shop.model_validate(shop)
