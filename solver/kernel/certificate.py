"""A certificate of a bound, and its recheck by code of its own: whole numbers and numpy only.

Prices of items and of sets of items, in 1/scale of a unit of cost. What all trees together must
pay: every item's price once, and a set's price for every group that its weight makes enter it at
least. An edge costs its own cost less the price of the item it leads to and of the sets it
enters. If no tree within the limit, of the kinds that `arbs.py` describes, costs less than r per
unit of its weight (r ≤ 0), then no plan costs less than the prices and r times all weight.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from solver.kernel.problem import Problem, Whole

FAR = 1 << 58


@dataclass(frozen=True, eq=False)
class Certificate:
    """Prices that prove a bound."""

    scale: int
    items: list[int]
    sets: list[tuple[list[int], int]]  # items of a set, and its price, 0 or more

    def bound(self, problem: Problem) -> int:
        """The bound that the prices prove, rounded up; recomputed from problem and prices."""
        if any(price < 0 for _, price in self.sets) or len(problem.most) != 1:
            raise ValueError("sets have prices of 0 or more, and there is one resource")
        weights, most = problem.weights[:, 0], int(problem.most[0])
        paid = self.paid(problem, self.items)
        step, first = entering(problem, self.scale, self.items, self.sets)
        cheapest = _trees(step, weights, most) + first[:, None]
        by_weight = cheapest.min(axis=0)
        everything = int(weights.sum())
        worst = min(
            (everything * int(by_weight[q]) // q for q in range(1, most + 1) if by_weight[q] < 0),
            default=0,
        )
        return -(-(paid + worst) // self.scale)

    def paid(self, problem: Problem, items: Sequence[int]) -> int:
        """What all trees together pay at least: these prices of items, and those of the sets."""
        weights, most = problem.weights[:, 0], int(problem.most[0])
        return sum(items) + sum(
            price * -(-int(weights[members].sum()) // most) for members, price in self.sets
        )


def entering(
    problem: Problem, scale: int, items: Sequence[int], sets: Sequence[tuple[list[int], int]]
) -> tuple[Whole, Whole]:
    """What edges cost less the prices of what they enter: between items, and from the root."""
    prices = np.array(items, np.int64)
    step = problem.between * scale - prices[None, :]
    first = problem.home * scale - prices
    for members, price in sets:
        inside = np.zeros(problem.size, np.bool_)
        inside[members] = True
        step[np.ix_(~inside, inside)] -= price
        first[inside] -= price
    return step, first


def _trees(step: Whole, weights: Whole, most: int) -> Whole:
    """The least cost of a tree of each weight below each item, all branches counted."""
    n = len(weights)
    every = np.arange(n)
    low = np.full((n + 1, n, most + 1), FAR)  # children of lower number than k: [k, j, q]
    low[0, every, np.minimum(weights, most)] = np.where(weights <= most, 0, FAR)
    high = np.full((n + 1, n, most + 1), FAR)  # children from number k on
    high[:, :, 0] = 0
    but = np.full((n + 1, n, most + 1), FAR)  # any children but p: [p, j, q]
    hanging = np.full((n, n, most + 1), FAR)  # branch k below j: [k, j, q]
    for q in range(1, most + 1):
        for k in range(n):
            parts = np.arange(1, q)
            joined = low[k][:, q - parts] + hanging[k][:, parts]
            least = joined.min(axis=1) if q > 1 else np.full(n, FAR)
            low[k + 1, :, q] = np.minimum(low[k, :, q], np.where(every == k, FAR, least))
        but[n, :, q] = low[n, :, q]
        for p in range(n):
            parts = np.arange(q)
            but[p, :, q] = (low[p][:, q - parts] + high[p + 1][:, parts]).min(axis=1)
        np.minimum(but, FAR, out=but)
        for k in range(n):
            hanging[k, :, q] = np.where(
                every == k, FAR, np.minimum(but[:n, k, q] + step[:, k], FAR)
            )
        for k in range(n - 1, -1, -1):
            parts = np.arange(1, q + 1)
            joined = high[k + 1][:, q - parts] + hanging[k][:, parts]
            high[k, :, q] = np.minimum(high[k + 1, :, q], joined.min(axis=1))
        np.minimum(low, FAR, out=low)
        np.minimum(high, FAR, out=high)
    return np.asarray(np.minimum(but[n], FAR))
