"""The kernel against plain enumeration of every partition, and its bound against a checker's.

The expected values come from `every_partition.py` alone: every set's cheapest tree by trying each
parent function, every chain by trying each order, every partition by its first item.
"""

import numpy as np
import pytest

from benchmarks.instances import Instance
from benchmarks.recheck import Priced, WrongError, excluded
from solver.kernel.anneal import costs_of
from solver.kernel.arbs import edges, price
from solver.kernel.bound import Bound, bounded, spanning
from solver.kernel.certificate import Certificate, entering
from solver.kernel.portfolio import Portfolio, State
from solver.kernel.problem import Problem
from solver.kernel.proof import decided, listed
from tests.solver.kernel.every_partition import invented, least, tree_cost

SMALL = range(6)


@pytest.mark.parametrize("chains", [False, True])
@pytest.mark.parametrize("seed", SMALL)
def test_the_least_of_all_partitions_is_found(seed, chains):
    problem = invented(seed, 6, chains)
    state = Portfolio(problem, seed=1).run(rounds=3)
    assert state.value == least(problem)
    groups = state.ordered(problem)
    assert all(problem.may(frozenset(group)) for group in groups)
    assert problem.cost(problem.parents(groups)) == state.value
    assert sorted(item for group in groups for item in group) == list(range(problem.size))


def test_costs_of_groups_are_those_of_the_cheapest_trees():
    problem = invented(7, 5)
    groups = [(0,), (0, 3), (1, 2, 4), (0, 1, 2, 3), (0, 1, 2, 3, 4)]
    assert costs_of(problem, groups) == [tree_cost(problem, group) for group in groups]


def rechecked(problem: Problem, prices: Certificate) -> int:
    """What the checker says of a certificate."""
    return priced(problem, prices).bound()


def priced(problem: Problem, prices: Certificate) -> Priced:
    """A problem and its certificate as the checker knows them; the root is its last node."""
    n = problem.size
    distances = np.zeros((n + 1, n + 1), np.int64)
    distances[:n, :n] = problem.between
    distances[n, :n] = distances[:n, n] = problem.home
    weights = np.append(problem.weights[:, 0], 0)
    instance = Instance("invented", n, weights, distances)
    return Priced(instance, int(problem.most[0]), prices.scale, np.array(prices.items), prices.sets)


def test_bounds_stay_below_the_least_and_come_near():
    """Bound ≤ optimum on random problems, and ≥ 80 % of it; the plain spanning tree is worse."""
    near, plain = [], []
    for seed in range(60):
        problem = invented(seed, 6).weighing()
        assert bounded(problem)
        optimum = least(problem)
        bound = Bound(problem, [[item] for item in range(problem.size)])
        value = bound.run(60)
        assert value <= optimum
        assert value >= 0.8 * optimum
        assert rechecked(problem, bound.best) == value
        near.append(value / optimum)
        plain.append(spanning(problem) / optimum)
    assert np.mean(near) > 0.97 > np.mean(plain)


@pytest.mark.parametrize("seed", range(12))
def test_all_groups_of_better_plans_are_listed_and_decided(seed):
    """By kernel and checker alike; below a cost above the optimum the answer is the optimum."""
    problem = invented(seed, 6).weighing()
    optimum = least(problem)
    bound = Bound(problem, [[item] for item in range(problem.size)])
    bound.run(4)  # not yet at its best, so that there is a gap
    below = optimum + 3
    found = listed(problem, bound.best, below)
    assert found is not None
    assert [tree_cost(problem, tuple(group)) for group in found.groups] == found.costs
    answer = decided(problem, bound.best, found, below, 10.0)
    assert answer.bound == optimum
    assert answer.groups is not None
    assert problem.cost(problem.parents(answer.groups)) == optimum
    none = listed(problem, bound.best, optimum)
    assert none is not None
    assert decided(problem, bound.best, none, optimum, 10.0) == (None, optimum)
    checker = priced(problem, bound.best)
    listed_anew = {tuple(group) for group in checker.levelled().groups(below)}
    assert listed_anew == set(map(tuple, found.groups))
    assert excluded(checker, optimum)
    assert not excluded(checker, optimum + 1)


def repeating_trees(problem, step, top, weight, parent=None):
    """Costs of all trees of a weight below an item in which only close kin may not repeat."""
    weights = problem.weights[:, 0]

    def branches(item, forbidden, left, first):
        """Costs of sets of children numbered from `first` on, of exactly this weight in all."""
        if left == 0:
            yield 0
        for child in range(first, problem.size):
            if child in (item, forbidden):
                continue
            for part in range(1, left + 1):
                for below in repeating_trees(problem, step, child, part, item):
                    for others in branches(item, forbidden, left - part, child + 1):
                        yield int(step[item, child]) + below + others

    left = weight - int(weights[top])
    if left >= 0:
        yield from branches(top, parent, left, 0)


@pytest.mark.parametrize("seed", [3, 6, 103])
def test_pricing_finds_the_cheapest_of_all_trees_and_its_edges(seed):
    """Against every tree written out; and no bound is claimed of prices that are too high."""
    rng = np.random.default_rng(seed)
    problem = invented(seed, 4)
    most = min(int(problem.most[0]), 6)
    worth = [int(one) for one in rng.integers(0, 120, problem.size)]
    step, _ = entering(problem, 1, worth, [([0, 1], 11)])
    weights = problem.weights[:, 0].copy()
    tables = price(step, weights, most)
    for top in range(problem.size):
        every = [
            min(repeating_trees(problem, step, top, weight), default=1 << 40)
            for weight in range(most + 1)
        ]
        priced = tables[2][problem.size, top]
        assert min(priced) == min(every)
        weight = int(priced.argmin())
        found = edges(step, weights, *tables, top, weight)
        assert sum(int(step[a, b]) for a, b in found) == min(every)
        assert int(weights[[top, *found[:, 1]]].sum()) == weight


def test_a_certificate_with_prices_too_high_proves_no_more():
    """Whatever the prices, the recheck stays below the least cost."""
    for seed in range(45):
        problem = invented(seed, 5).weighing()
        rng = np.random.default_rng(seed)
        items = [int(one) for one in rng.integers(0, 90, problem.size)]
        sets = [([0, 1, 2], int(rng.integers(0, 40))), ([2, 3, 4], int(rng.integers(0, 40)))]
        assert rechecked(problem, Certificate(1, items, sets)) <= least(problem)
    with pytest.raises(WrongError, match="a set's price is below 0"):
        rechecked(problem, Certificate(1, items, [([0], -1)]))


@pytest.mark.parametrize(("seed", "size", "rounds"), [(103, 14, 4), (9, 18, 6)])
@pytest.mark.parametrize("chains", [False, True])
def test_one_core_and_two_give_the_same(seed, size, rounds, chains):
    """At every barrier; the larger problem is not proved by then, and dives."""
    problem = invented(seed, size, chains)

    def told(cores: int) -> list[State]:
        states: list[State] = []
        Portfolio(problem, seed=3).run(rounds=rounds, cores=cores, told=states.append)
        return [state._replace(seconds=0.0) for state in states]

    assert told(1) == told(2)


def test_the_same_sets_are_allowed_when_nothing_weighs_nothing():
    for seed in range(2, 122, 3):
        problem = invented(seed, 6)
        weighing = problem.weighing()
        assert int(weighing.weights.min()) > 0
        for number in range(1, 1 << 6):
            group = frozenset(item for item in range(6) if number >> item & 1)
            assert problem.may(group) == weighing.may(group)


def test_a_circle_is_no_tree():
    problem = invented(1, 3)
    with pytest.raises(ValueError, match="do not lead to the root"):
        problem.branches([1, 0, None])
