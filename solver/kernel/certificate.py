"""A certificate of a bound: prices in whole numbers. `benchmarks/recheck.py` checks it anew.

Prices of items and of sets of items, in 1/scale of a unit of cost. What all trees together must
pay: every item's price once, and a set's price for every group that its weight makes enter it at
least. An edge costs its own cost less the price of the item it leads to and of the sets it
enters. If no tree within the limit, of the kinds that `arbs.py` describes, costs less than r per
unit of its weight (r ≤ 0), then no plan costs less than the prices and r times all weight.

Chains are those of `walks.py`. Where there may be only so many, each pays an opening price more,
and all together get it back for as many as there may be.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from solver.kernel.problem import Problem, Whole


@dataclass(frozen=True)
class Certificate:
    """Prices that prove a bound."""

    scale: int
    items: list[int]
    sets: list[tuple[list[int], int]]  # items of a set, and its price, 0 or more
    opening: int = 0  # of a chain, 0 or more

    def paid(self, problem: Problem, items: Sequence[int]) -> int:
        """What all trees together pay at least: these prices of items, and those of the sets."""
        weights, most = problem.weights[:, 0], int(problem.most[0])
        entered = sum(
            price * -(-int(weights[members].sum()) // most) for members, price in self.sets
        )
        return sum(items) + entered - self.opening * (problem.groups or 0)


def entering(
    problem: Problem,
    scale: int,
    items: Sequence[int],
    sets: Sequence[tuple[list[int], int]],
    opening: int = 0,
) -> tuple[Whole, Whole]:
    """What edges cost less the prices of what they enter: between items, and from the root."""
    prices = np.array(items, np.int64)
    step = problem.between * scale - prices[None, :]
    first = problem.home * scale - prices + opening
    for members, price in sets:
        inside = np.zeros(problem.size, np.bool_)
        inside[members] = True
        step[np.ix_(~inside, inside)] -= price
        first[inside] -= price
    return step, first
