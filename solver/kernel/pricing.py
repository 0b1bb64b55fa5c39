"""The cheapest trees or chains of the relaxation under prices: `arbs.py` and `walks.py` as one.

Both may repeat items, so both cost no more than what plans hold. Edges are (parent, child), the
parent -1 at the root.
"""

from typing import Any

import numpy as np

from solver.kernel.arbs import NEVER, edges, price
from solver.kernel.problem import Problem, Whole
from solver.kernel.walks import handed, memories, walk, walked

Edge = tuple[int, int]


class Pricing:
    """Prices trees or chains of one problem, of one resource that every item weighs some of."""

    def __init__(self, problem: Problem) -> None:
        self.chains = problem.chains
        self.weights, self.most = problem.weights[:, 0].copy(), int(problem.most[0])
        self.passed: Any = handed(memories(problem)) if self.chains else None
        self.step = np.zeros((0, 0), np.int64)
        self.tables: tuple[Any, ...] = ()

    def run(self, step: Whole, first: Whole) -> Whole:
        """The least cost by one item and the weight: a tree's top item, a chain's last."""
        self.step = step
        if self.chains:
            self.tables = walk(step, first, self.weights, self.most, self.passed)
            return np.asarray(np.minimum(self.tables[0].min(axis=2), NEVER // 2))
        self.tables = price(step, self.weights, self.most)
        return np.asarray(np.minimum(self.tables[2][len(first)], NEVER // 2) + first[:, None])

    def edges(self, item: int, weight: int) -> list[Edge]:
        """The edges of the cheapest one of them, as priced last."""
        if self.chains:
            found = walked(self.weights, *self.tables, item, weight)
            return [(int(a), int(b)) for a, b in found]
        below = edges(self.step, self.weights, *self.tables, item, weight)
        return [(-1, item), *((int(a), int(b)) for a, b in below)]
