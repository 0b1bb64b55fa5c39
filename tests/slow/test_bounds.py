"""Bounds of tiny shops against every plan there is, counted out by independent slow code."""

import math

import pytest

from models.price_book import PriceBook
from solver.bound.least import least
from solver.candidate import MONEY
from solver.catalogue import Catalogue
from solver.circuit import Circuits
from solver.points import Points
from solver.routes import Ways
from solver.solve import Control
from tests.slow import every_changeover
from tests.slow.counting_out import counted_out
from tests.slow.test_least_plan import SLOW, readable
from tests.slow.test_spare_choices import changing_shop

CENT = 0.006
EACH = 20


def plain(seed):
    return readable(seed), ()


def with_pairs(seed):
    return readable(seed, multiwire=True, most_boxes=3), ()


def changing(seed):
    return changing_shop(seed), (every_changeover.builds_of,)


@pytest.mark.long
@pytest.mark.parametrize("first", range(0, 400, EACH))
@pytest.mark.parametrize("kind", [plain, with_pairs, changing])
def test_no_plan_costs_less(first, kind):
    """At least three quarters of the least cost on average."""
    shares = []
    for seed in set(range(first, first + EACH)) - SLOW:
        shop, builds = kind(seed)
        counted = counted_out(shop, *builds)
        if math.isinf(counted):
            continue
        circuits = Circuits(shop, Points(shop), Ways(shop), Catalogue(shop, PriceBook.read()))
        bound = least(circuits, Control())
        assert bound is not None
        assert bound / MONEY <= counted + CENT, f"{shop.name}: a plan costs {counted}"
        shares.append(bound / MONEY / counted)
    assert sum(shares) > 0.75 * len(shares)
