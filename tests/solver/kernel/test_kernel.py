"""The kernel against plain enumeration of every partition, and its bound against a checker's.

The expected values come from `every_partition.py` alone: every set's cheapest tree by trying each
parent function, every chain by trying each order, every partition by its first item.
"""

from dataclasses import replace

import numpy as np
import pytest

from benchmarks.instances import Instance
from benchmarks.recheck_chains import PricedChains, no_chains_below
from benchmarks.recheck_trees import Priced, WrongError, excluded
from solver.kernel import walks
from solver.kernel.anneal import costs_of, ordered
from solver.kernel.arbs import edges, price
from solver.kernel.bound import Bound, bounded, spanning
from solver.kernel.certificate import Certificate, entering
from solver.kernel.pool import Pool, table_of
from solver.kernel.portfolio import Portfolio, State
from solver.kernel.pricing import Pricing
from solver.kernel.problem import Problem
from solver.kernel.proof import decided, listed
from solver.kernel.relax import Relaxation
from solver.kernel.walks import memories
from tests.solver.kernel.every_partition import chain_cost, invented, least, tree_cost

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


def test_costs_of_chains_are_those_of_the_best_orders():
    problem = invented(7, 7, chains=True)
    groups = [(0,), (0, 3), (1, 2, 4), (6, 1, 3, 4, 2, 0)]
    assert costs_of(problem, groups) == [chain_cost(problem, group) for group in groups]
    order = ordered(problem, groups[-1])
    assert sorted(order) == sorted(groups[-1])
    assert problem.chain_cost(order) == chain_cost(problem, groups[-1])


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
    held = int(problem.most[0]), prices.scale, np.array(prices.items), prices.sets
    if problem.chains:
        assert problem.groups is not None
        remembered = memories(problem).tolist()
        return PricedChains(instance, *held, prices.opening, problem.groups, remembered)
    return Priced(instance, *held)


@pytest.mark.parametrize("chains", [False, True])
def test_bounds_stay_below_the_least_and_come_near(chains):
    """Bound ≤ optimum on random problems, and ≥ 80 % of it; the plain spanning tree is worse."""
    near, plain = [], []
    for seed in range(60):
        problem = invented(seed, 6, chains).weighing()
        assert bounded(problem)
        optimum = least(problem)
        bound = Bound(problem, some_groups(problem))
        value = bound.run(60)
        assert value <= optimum
        assert value >= 0.8 * optimum
        assert rechecked(problem, bound.best) == value
        near.append(value / optimum)
        plain.append(spanning(problem) / optimum)
    assert np.mean(near) > 0.97 > np.mean(plain)


def some_groups(problem: Problem) -> list[list[int]]:
    """Any plan, so that the relaxation has an answer."""
    return Portfolio(problem, seed=2).run(rounds=1).groups


@pytest.mark.parametrize("chains", [False, True])
@pytest.mark.parametrize("seed", range(12))
def test_all_groups_of_better_plans_are_listed_and_decided(seed, chains):
    """By kernel and checker alike; below a cost above the optimum the answer is the optimum."""
    problem = invented(seed, 6, chains).weighing()
    optimum = least(problem)
    bound = Bound(problem, some_groups(problem))
    bound.run(4)  # not yet at its best, so that there is a gap
    below = optimum + 3
    found = listed(problem, bound.best, below)
    assert found is not None
    cost_of = chain_cost if chains else tree_cost
    assert [cost_of(problem, tuple(group)) for group in found.groups] == found.costs
    answer = decided(problem, bound.best, found, below, 10.0)
    assert answer.bound == optimum
    assert answer.groups is not None
    assert problem.cost(problem.parents(answer.groups)) == optimum
    none = listed(problem, bound.best, optimum)
    assert none is not None
    assert decided(problem, bound.best, none, optimum, 10.0) == (None, optimum)
    checker = priced(problem, bound.best)
    kernel_sets = {tuple(sorted(group)) for group in found.groups}
    if isinstance(checker, PricedChains):
        level = checker.levelled()
        assert kernel_sets <= {tuple(sorted(chain)) for _, chain in level.all_chains(below)}
        assert no_chains_below(checker, optimum)
        assert not no_chains_below(checker, optimum + 1)
    else:
        assert {tuple(group) for group in checker.levelled().groups(below)} == kernel_sets
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


def remembering(problem, step, first, last, weight):
    """Costs of all chains of a weight to an item, by every walk that memory allows."""
    near = [set(row) for row in memories(problem).tolist()]
    weights = problem.weights[:, 0].tolist()

    def more(at, memory, left, cost):
        if left == 0 and at == last:
            yield cost
        for item in range(problem.size):
            if item not in memory and weights[item] <= left:
                kept = (memory & near[item]) | {item}
                yield from more(item, kept, left - weights[item], cost + int(step[at, item]))

    for item in range(problem.size):
        if weights[item] <= weight:
            yield from more(item, {item}, weight - weights[item], int(first[item]))


@pytest.mark.parametrize("seed", [3, 6, 103])
def test_pricing_finds_the_cheapest_of_all_chains_and_its_edges(seed, monkeypatch):
    """Against every walk written out, where an item remembers itself and one more."""
    monkeypatch.setattr(walks, "REMEMBERED", 2)
    rng = np.random.default_rng(seed)
    problem = replace(invented(seed, 5, chains=True), most=np.array([9]))
    worth = [int(one) for one in rng.integers(0, 120, problem.size)]
    step, first = entering(problem, 1, worth, [([0, 1], 11)], opening=7)
    assert first[2] == problem.home[2] - worth[2] + 7
    pricing = Pricing(problem)
    cheapest = pricing.run(step, first)
    again = 0
    for last in range(problem.size):
        for weight in range(1, 10):
            every = min(remembering(problem, step, first, last, weight), default=None)
            if every is None:
                assert cheapest[last, weight] > 1 << 40
                continue
            assert cheapest[last, weight] == every
            found = pricing.edges(last, weight)
            assert sum(int(first[b] if a < 0 else step[a, b]) for a, b in found) == every
            assert int(problem.weights[[b for _, b in found], 0].sum()) == weight
            again += len({b for _, b in found}) < len(found)
    assert again, "no chain of these repeats an item: the test says nothing of memory"


@pytest.mark.parametrize("chains", [False, True])
def test_a_certificate_with_prices_too_high_proves_no_more(chains):
    """Whatever the prices, the recheck stays below the least cost."""
    for seed in range(45):
        problem = invented(seed, 5, chains).weighing()
        rng = np.random.default_rng(seed)
        items = [int(one) for one in rng.integers(0, 90, problem.size)]
        sets = [([0, 1, 2], int(rng.integers(0, 40))), ([2, 3, 4], int(rng.integers(0, 40)))]
        opening = int(rng.integers(0, 60)) if chains else 0
        assert rechecked(problem, Certificate(1, items, sets, opening)) <= least(problem)
    with pytest.raises(WrongError, match="a set's price is below 0"):
        rechecked(problem, Certificate(1, items, [([0], -1)]))
    if chains:
        with pytest.raises(WrongError, match="the opening price is below 0"):
            rechecked(problem, Certificate(1, items, [], -1))


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
        if seed % 2:  # in larger units
            problem = replace(problem, weights=problem.weights * 7, most=problem.most * 7 + 5)
        weighing = problem.weighing()
        assert int(np.gcd.reduce(weighing.weights[:, 0])) == 1
        assert int(weighing.weights.min()) > 0
        for number in range(1, 1 << 6):
            group = frozenset(item for item in range(6) if number >> item & 1)
            assert problem.may(group) == weighing.may(group)


def test_a_circle_is_no_tree():
    problem = invented(1, 3)
    with pytest.raises(ValueError, match="do not lead to the root"):
        problem.branches([1, 0, None])


@pytest.mark.parametrize("seed", range(3))
def test_what_is_grown_fits_where_a_step_of_weight_is_several_units(seed):
    """Light items stay at a step, where a better group may take the place of the one under way."""
    rng = np.random.default_rng(seed)
    upper = np.triu(rng.integers(1, 60, (40, 40)), 1)
    weights = rng.integers(1, 30, (40, 1))
    problem = Problem(upper + upper.T, rng.integers(20, 90, 40), weights, np.array([200]))
    alone = [[item] for item in range(40)]
    pool = Pool(40)
    pool.add([table_of(40, alone, costs_of(problem, alone))])
    Relaxation(problem, pool).run(alone, 30)
    assert len(pool) > 500
    groups = [pool.group(row) for row in range(len(pool))]
    assert all(problem.may(frozenset(group)) for group in groups)
    assert costs_of(problem, groups) == pool.costs.tolist()
