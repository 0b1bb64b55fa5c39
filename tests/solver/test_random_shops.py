"""Whole plans of random small shops: checked by the rules, or refused with a cause."""

import pytest

from models.price_book import PriceBook
from models.rules import check_plan
from solver.plan import plan_shop
from solver.solve import Control
from tests.violations import violations


def plan_or_causes(shop):
    """A plan without violations, whose findings are those of a check of its own; or causes."""
    outcome = plan_shop(shop, PriceBook.read(), Control(effort=1), explain=False)
    if outcome.plan is None:
        assert outcome.causes, shop.name
        assert all(cause.says for cause in outcome.causes)
        return False
    assert check_plan(outcome.plan) == outcome.plan.findings
    wrong = violations(outcome.plan.findings)
    assert not wrong or outcome.causes, wrong
    goal = outcome.plan.objective
    assert goal.lower_bound is None or goal.lower_bound <= goal.value
    return not wrong


@pytest.mark.parametrize("seed", range(200, 220))
def test_random_shops(seed, make_shop):
    plan_or_causes(make_shop(seed, boxes=3 + seed % 4))


def test_most_random_shops_can_be_planned(make_shop):
    """So that the test above is not passed by refusing."""
    planned = [plan_or_causes(make_shop(seed, boxes=4)) for seed in range(300, 310)]
    assert sum(planned) >= 5


@pytest.mark.long
@pytest.mark.parametrize("seed", range(1000, 1300))
def test_many_random_shops(seed, make_shop):
    plan_or_causes(make_shop(seed, boxes=3 + seed % 6))
