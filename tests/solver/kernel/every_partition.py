"""The least cost of a small problem by trying everything; nothing of the kernel but the problem.

Every set's cheapest tree by trying each parent function (Cayley), every chain by trying each order,
every partition by its first item.
"""

from functools import cache
from itertools import combinations, pairwise, permutations, product

import numpy as np

from solver.kernel.problem import Problem


def invented(seed: int, size: int, chains: bool = False) -> Problem:
    """A problem of few items, costs without triangle inequality.

    By turns of the seed: uneven weights, all weigh 1, some weigh nothing.
    """
    rng = np.random.default_rng(seed)
    upper = np.triu(rng.integers(1, 60, (size, size)), 1)
    weights = (
        rng.integers(1, 6, (size, 1)),
        np.ones((size, 1), np.int64),
        rng.integers(0, 4, (size, 1)),
    )[seed % 3]
    most = int(max(weights.max(), 1, round(weights.sum() / rng.uniform(1.5, 3.5))))
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
