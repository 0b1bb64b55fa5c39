"""The kernel against plain enumeration of every partition, and its bound against a checker's.

The expected values come from code of this file alone: every set's cheapest tree by trying each
parent function (Cayley), every chain by trying each order, every partition by its first item.
"""

from functools import cache
from itertools import combinations, pairwise, permutations, product

import numpy as np
import pytest

from solver.kernel.anneal import costs_of
from solver.kernel.arbs import edges, price
from solver.kernel.bound import Bound, bounded, spanning
from solver.kernel.certificate import Certificate, entering
from solver.kernel.portfolio import Portfolio, State
from solver.kernel.problem import Problem

SMALL = range(4)


def invented(seed: int, size: int, chains: bool = False) -> Problem:
    """A problem of few items, costs without triangle inequality; seeds from 100: all weigh 1."""
    rng = np.random.default_rng(seed)
    upper = np.triu(rng.integers(1, 60, (size, size)), 1)
    weights = rng.integers(1, 6, (size, 1)) if seed < 100 else np.ones((size, 1), np.int64)
    most = int(max(weights.max(), round(weights.sum() / rng.uniform(1.5, 3.5))))
    groups = -(-int(weights.sum()) // most) + 1 if chains else None
    return Problem(
        upper + upper.T, rng.integers(20, 90, size), weights, np.array([most]), chains, groups
    )


def tree_cost(problem: Problem, items: tuple[int, ...]) -> int:
    """The cheapest tree over items and root, by trying every parent of every item."""
    best = 1 << 40
    for parents in product([None, *items], repeat=len(items)):
        parent = dict(zip(items, parents, strict=True))
        if all(_leads_home(item, parent) for item in items):
            cost = sum(
                int(problem.home[item] if up is None else problem.between[item, up])
                for item, up in parent.items()
            )
            best = min(best, cost)
    return best


def _leads_home(item: int | None, parent: dict[int, int | None]) -> bool:
    for _ in range(len(parent) + 1):
        if item is None:
            return True
        item = parent[item]
    return item is None


def chain_cost(problem: Problem, items: tuple[int, ...]) -> int:
    """The cheapest chain, by trying every order."""
    return min(
        int(problem.home[order[0]]) + sum(int(problem.between[a, b]) for a, b in pairwise(order))
        for order in permutations(items)
    )


def least(problem: Problem) -> int:
    """The least cost of all, by every partition."""
    cost_of = chain_cost if problem.chains else tree_cost

    @cache
    def group(items: tuple[int, ...]) -> int:
        fits = int(problem.weights[list(items), 0].sum()) <= int(problem.most[0])
        return cost_of(problem, items) if fits else 1 << 40

    @cache
    def rest(left: tuple[int, ...], groups: int) -> int:
        if not left:
            return 0
        if not groups:
            return 1 << 40
        first, others = left[0], left[1:]
        return min(
            group((first, *taken))
            + rest(tuple(item for item in others if item not in taken), groups - 1)
            for count in range(len(others) + 1)
            for taken in combinations(others, count)
            if group((first, *taken)) < 1 << 40
        )

    return rest(tuple(range(problem.size)), problem.groups or problem.size)


@pytest.mark.parametrize("chains", [False, True])
@pytest.mark.parametrize("seed", [*SMALL, *(100 + seed for seed in SMALL)])
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


def test_bounds_stay_below_the_least_and_come_near():
    """Bound ≤ optimum on random problems, and ≥ 80 % of it; the plain spanning tree is worse."""
    near, plain = [], []
    for seed in [*range(20), *range(100, 120)]:
        problem = invented(seed, 6)
        assert bounded(problem)
        optimum = least(problem)
        bound = Bound(problem, [[item] for item in range(problem.size)])
        value = bound.run(60)
        assert value <= optimum
        assert value >= 0.8 * optimum
        assert bound.best.bound(problem) == value
        near.append(value / optimum)
        plain.append(spanning(problem) / optimum)
    assert np.mean(near) > 0.97 > np.mean(plain)


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


@pytest.mark.parametrize("seed", [3, 5, 103])
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
    for seed in range(100, 130):
        problem = invented(seed, 5)
        rng = np.random.default_rng(seed)
        items = [int(one) for one in rng.integers(0, 90, problem.size)]
        sets = [([0, 1, 2], int(rng.integers(0, 40))), ([2, 3, 4], int(rng.integers(0, 40)))]
        assert Certificate(1, items, sets).bound(problem) <= least(problem)
    with pytest.raises(ValueError, match="prices of 0 or more"):
        Certificate(1, items, [([0], -1)]).bound(problem)


def test_one_core_and_two_give_the_same():
    problem = invented(105, 14)

    def told(cores: int) -> list[State]:
        states: list[State] = []
        Portfolio(problem, seed=3).run(rounds=4, cores=cores, told=states.append)
        return [state._replace(seconds=0.0) for state in states]

    assert told(1) == told(2)


def test_a_circle_is_no_tree():
    problem = invented(1, 3)
    with pytest.raises(ValueError, match="do not lead to the root"):
        problem.branches([1, 0, None])
