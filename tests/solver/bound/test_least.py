"""What no plan goes below, against plans counted out by independent slow code."""

import math

import pytest

from models.price_book import PriceBook
from models.shop_edit import changed
from solver.bound.cuts import Cuts
from solver.bound.least import least
from solver.bound.runs import Runs
from solver.candidate import COPPER, MONEY
from solver.catalogue import Catalogue
from solver.circuit import Circuits
from solver.plan import plan_shop
from solver.points import Points
from solver.routes import Ways
from solver.solve import Control
from tests.slow import every_changeover
from tests.slow.counting_out import counted_out
from tests.slow.test_least_plan import readable
from tests.slow.test_spare_choices import changing_shop

CENT = 0.006
PLAIN = (0, 1, 2, 4, 5, 7, 11, 14, 26, 43, 47, 97, 98, 116)
MULTIWIRE = (1, 6, 7, 12, 16, 17)


def circuits_of(shop):
    return Circuits(shop, Points(shop), Ways(shop), Catalogue(shop, PriceBook.read()))


def share(shop, *builds):
    """The bound as a share of the least cost of all plans; None without a plan."""
    counted = counted_out(shop, *builds)
    if math.isinf(counted):
        return None
    bound = least(circuits_of(shop), Control())
    assert bound is not None
    assert bound / MONEY <= counted + CENT, f"{shop.name}: a plan costs {counted}"
    return bound / MONEY / counted


def shares(seeds, **how):
    return [one for seed in seeds if (one := share(readable(seed, **how))) is not None]


def test_no_plan_of_a_tiny_shop_costs_less():
    """Measured on 105 shops: 96 % on average, 59 % at worst."""
    found = shares(PLAIN)
    assert len(found) >= 10
    assert min(found) > 0.5
    assert sum(found) / len(found) > 0.85


def test_no_plan_with_multiwire_pairs_costs_less():
    """Measured on 53 shops: 88 % on average, 72 % at worst."""
    found = shares(MULTIWIRE, multiwire=True, most_boxes=3)
    assert len(found) >= 4
    assert min(found) > 0.6


def test_no_plan_costs_less_now_and_in_days_to_come():
    """Measured on 55 shops with changeovers: 85 % on average, 48 % at worst."""
    found = [share(changing_shop(seed), every_changeover.builds_of) for seed in range(12)]
    assert sum(one is not None for one in found) >= 8
    assert min(one for one in found if one is not None) > 0.4


@pytest.mark.parametrize("seed", [2, 7])
def test_no_plan_needs_less_copper(make_shop, seed):
    shop = changed(make_shop(seed), [("prices.minimize", "copper")])
    bound = least(circuits_of(shop), Control())
    plan = plan_shop(shop, PriceBook.read(), Control(effort=5), explain=False).plan
    assert bound is not None
    assert plan is not None
    assert 0.8 * plan.objective.value <= bound / COPPER <= plan.objective.value + CENT


def test_a_plan_of_a_shop_too_large_to_try_everything_says_how_far_off_it_may_be(make_shop):
    shop = make_shop(3, boxes=20)
    plan = plan_shop(shop, PriceBook.read(), Control(effort=1)).plan
    assert plan is not None
    assert plan.objective.proved != "global"
    assert plan.objective.lower_bound is not None
    assert 0.8 * plan.objective.value < plan.objective.lower_bound <= plan.objective.value


def test_cuts_raise_the_bound():
    """Without them circuits may begin in the middle of a shop."""
    runs = Runs(circuits_of(readable(26)))
    cuts = Cuts(runs)
    assert runs.program.solve()
    before, added = runs.program.bound(), cuts.add()
    assert added
    assert runs.program.solve()
    assert runs.program.bound() > before
