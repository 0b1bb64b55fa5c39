"""Plans of tiny shops against every plan there is, counted out by independent slow code."""

import json
import math
from pathlib import Path

import pytest

from models.price_book import PriceBook
from models.reach import receptacles_in_reach
from models.shop import Shop
from models.shop_checks import check_shop
from solver.plan import plan_shop
from solver.routes import Ways
from solver.solve import Control
from tests.slow.every_circuit import Way
from tests.slow.every_plan import least_cost
from tests.slow.plans_on_file import book_prices
from tests.slow.tiny_shops import tiny_shop

HERE = Path(__file__).resolve().parent
MONEY = 10_000
PROVED_SHARE = 0.85  # of the tiny shops: so many plans at least are the least and said to be


def counted_out(shop):
    """The least cost over every plan [USD]; infinite when there is none."""
    ways = Ways(shop)
    between = {
        (start, end): [
            Way(way.method, way.length_cft, way.ambient_c, way.raceways, way.via)
            for way in ways.between(start, end)
        ]
        for start in ways.names
        for end in ways.names
        if start != end
    }
    paths = {
        name: [[value / 100 for value in point] for point in route.path]
        for name, route in ways.raceways.items()
    }
    reach = {
        machine.id: [fitting.yoke_id for fitting in receptacles_in_reach(shop, machine)]
        for machine in shop.machines
        if machine.plug is not None and machine.receptacle is None
    }
    data = json.loads(json.dumps(shop.canonical()))
    return least_cost(data, between, book_prices(), reach, paths) / MONEY


def compare(shop):
    """`proved`, `met`, `missed` or `none`; fails where the plan claims what is not so."""
    outcome = plan_shop(shop, PriceBook.read(), Control(effort=5), explain=False)
    least = counted_out(shop)
    if outcome.plan is None:
        assert math.isinf(least), f"{shop.name}: no plan, and there is one of {least} USD"
        return "none"
    if any(finding.severity == "violation" for finding in outcome.plan.findings):
        return "none"
    goal = outcome.plan.objective
    assert goal.value >= least - 0.006, f"{shop.name}: {goal.value} USD, and least is {least}"
    if goal.lower_bound is not None:
        assert goal.lower_bound <= least + 0.006, f"{shop.name}: bound {goal.lower_bound}, {least}"
    same = goal.value == pytest.approx(least, abs=0.006)
    if goal.proved == "global":
        assert same, f"{shop.name}: {goal.value} USD proved, and least is {least}"
        return "proved"
    return "met" if same else "missed"


def readable(seed, **how):
    """The first shop from a seed on that the reader takes: a cord may reach nothing."""
    for again in range(seed, seed + 10**6, 10**4):
        shop = Shop.model_validate(tiny_shop(again, **how))
        if not check_shop(shop):
            return shop
    raise AssertionError(f"no shop from seed {seed}")


def all_of(seeds, **how):
    found = {seed: compare(readable(seed, **how)) for seed in seeds}
    planned = [kind for kind in found.values() if kind != "none"]
    assert len(planned) >= len(found) / 2
    assert planned.count("proved") >= PROVED_SHARE * len(planned), found
    return found


@pytest.mark.parametrize("first", range(0, 40, 10))
def test_no_plan_is_better(first):
    all_of(range(first, first + 10))


@pytest.mark.long
@pytest.mark.parametrize("first", range(1000, 1500, 20))
def test_no_plan_is_better_in_many_shops(first):
    all_of(range(first, first + 20))
