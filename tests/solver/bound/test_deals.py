"""The least number of groups that fit, against every way to deal things out."""

import random

from solver.bound.deals import Deals
from tests.dealt_out import dealt_out


def test_the_least_number_is_that_of_all_ways_counted_out():
    rng = random.Random(11)
    several = 0
    for _ in range(60):
        weights = {item: rng.randint(1, 9) for item in range(10, 10 + rng.randint(1, 6))}
        apart = [set(rng.sample(sorted(weights), 2)) for _ in range(rng.randint(0, 2))] if (
            len(weights) > 1
        ) else []  # fmt: skip

        def fit(group, weights=weights, apart=apart):
            heavy = sum(weights[item] for item in group) > 12
            return not heavy and not any(pair <= set(group) for pair in apart)

        deals = Deals(sorted(weights), fit)
        assert deals.known
        for count in range(1, len(weights) + 1):
            some = frozenset(rng.sample(sorted(weights), count))
            counted = min(
                len(groups) for groups in dealt_out(sorted(some)) if all(map(fit, groups))
            )
            assert deals.least(some) == counted
            several += counted > 2
    assert several > 20, "few of these would be found wrong"


def test_too_many_groups_are_not_all_looked_at():
    deals = Deals(range(20), lambda group: True)
    assert not deals.known
