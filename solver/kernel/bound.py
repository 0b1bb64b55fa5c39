"""A true bound: column generation over trees that may repeat items, with rounded capacity cuts.

Every plan is a mix of such trees, or of such chains, in which each item is entered once, and as
many edges enter a set of items as its weight needs groups (rounded up). CLP proposes prices;
rounded to whole numbers they prove a bound whatever CLP did, because `pricing.py` prices all trees
exactly; the best prices are kept as a `Certificate`. Trees that search and growing liked come
first, then those that pricing finds.

Needs one resource of which every item weighs 1 or more, and limits that keep n²·Q² small, of
chains n²·Q·2^7; chains may be limited in number, trees are not.
Lübbecke & Desrosiers 2005; Uchoa et al. 2008.
"""

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

import numpy as np

from solver.kernel.anneal import ordered
from solver.kernel.arbs import crowded
from solver.kernel.certificate import Certificate, entering
from solver.kernel.linear import INFINITE, GrowingProgram
from solver.kernel.pool import Numbers
from solver.kernel.pricing import Edge, Pricing
from solver.kernel.problem import Problem, Whole
from solver.kernel.walks import REMEMBERED

SCALE: Final = 1_000
MOST_STEPS: Final = 2_000_000_000
MISSING: Final = 0.02  # of an edge, for a cut
STAY: Final = 0.5  # prices stay so much at the best ones so far; Wentges 1997, from memory
CLOSE: Final = 1.0005  # the relaxation is near enough to its bound for cuts


def bounded(problem: Problem) -> bool:
    """Can this problem be bounded in this way?"""
    if len(problem.most) > 1:
        return False
    most = int(problem.weighing().most[0])
    states = most << REMEMBERED if problem.chains else most**2
    return problem.size**2 * states <= MOST_STEPS


def spanning(problem: Problem) -> int:
    """The plain spanning tree over everything: no plan of trees or chains costs less."""
    trees = replace(problem, chains=False)
    return trees.cost(trees.parents([range(problem.size)]))


class Bound:
    """The bound of one problem, better with every round."""

    def __init__(
        self,
        problem: Problem,
        groups: Sequence[Sequence[int]],
        worth: Numbers | None = None,
    ) -> None:
        """`groups` must hold every item; the more good ones, the fewer rounds.

        `worth` is what items may be worth, to begin with, and last what a group less is.
        """
        self.problem = problem
        self.weights, self.most = problem.weights[:, 0].copy(), int(problem.most[0])
        self.program = GrowingProgram()
        for _ in range(problem.size):
            self.program.row(1.0, 1.0)
        few = problem.groups if problem.chains else None
        self.few = self.program.row(-INFINITE, INFINITE if few is None else float(few))
        self.sets: list[list[int]] = []  # row n + 1 + number of each
        self.pricing = Pricing(problem)
        self.trees: list[list[Edge]] = []
        self.known: set[tuple[Edge, ...]] = set()
        self.best = Certificate(SCALE, [0] * problem.size, [])
        self.value = 0
        self.relaxed = float("inf")
        self.done = False
        self.highest, self.centre = -float("inf"), np.zeros(problem.size + 1)
        self.guess = worth
        for group in groups:
            parents = problem.parents([ordered(problem, group)])
            below: dict[int, list[Edge]] = {}
            for item in group:  # each branch of the root is a tree
                top, at = item, parents[item]
                while at is not None:
                    top, at = at, parents[at]
                up = parents[item]
                below.setdefault(top, []).append((-1 if up is None else up, item))
            for tree in below.values():
                self._join(tree)

    def _join(self, tree: list[Edge]) -> bool:
        name = tuple(sorted(tree))
        if name in self.known:
            return False
        self.known.add(name)
        cost = 0
        holds = {self.few: 1.0} if self.problem.chains else {}
        for parent, child in tree:
            holds[child] = holds.get(child, 0.0) + 1.0
            cost += int(
                self.problem.home[child] if parent < 0 else self.problem.between[parent, child]
            )
        for number, members in enumerate(self.sets, self.few + 1):
            times = _entries(tree, members)
            if times:
                holds[number] = float(times)
        self.program.column(float(cost), holds)
        self.trees.append(tree)
        return True

    def run(self, rounds: int) -> int:
        """So many rounds more; the bound, rounded up."""
        for _ in range(rounds):
            if self.done:
                break
            self._round()
        return self.value

    def _round(self) -> None:
        if not self.program.solve():
            self.done = True
            return
        self.relaxed = self.program.value
        values, prices = self.program.values(), self.program.prices()
        if self.guess is not None:
            self._priced(self.guess)
            self.guess = None
        centre = np.zeros(len(prices))
        centre[: len(self.centre)] = self.centre
        bound, new = self._priced(STAY * centre + (1 - STAY) * prices)
        if not new:
            bound, new = self._priced(prices)
        if (not new or self.relaxed <= CLOSE * bound) and not self._cut(values) and not new:
            self.done = True

    def _priced(self, prices: Numbers) -> tuple[float, int]:
        """What prices prove, and how many trees pricing found that are new."""
        n = self.problem.size
        whole = np.rint(SCALE * prices).astype(np.int64).tolist()
        sets = zip(self.sets, (max(0, one) for one in whole[n + 1 :]), strict=True)
        used = [pair for pair in sets if pair[1]]
        held = Certificate(SCALE, whole[:n], used, max(0, -whole[self.few]))
        step, first = entering(self.problem, SCALE, held.items, used, held.opening)
        cheapest = self.pricing.run(step, first)
        bound = self._proved(held, cheapest)
        if bound > self.highest:
            self.highest, self.centre = bound, prices
        new = 0
        for top in np.argsort(cheapest.min(axis=1), kind="stable").tolist():
            weight = int(cheapest[top].argmin())
            if cheapest[top, weight] >= -1:
                break
            new += self._join(self.pricing.edges(top, weight))
        return bound, new

    def _proved(self, held: Certificate, cheapest: Whole) -> float:
        """What these prices prove; the best are kept."""
        by_weight = cheapest.min(axis=0)
        everything = int(self.weights.sum())
        worst = min(
            (everything * int(by_weight[q]) // q for q in range(1, self.most + 1)), default=0
        )
        bound = held.paid(self.problem, held.items) + min(0, worst)
        if -(-bound // SCALE) > self.value:
            self.value = -(-bound // SCALE)
            self.best = held
        return bound / SCALE

    def _cut(self, values: Numbers) -> int:
        """Cut off what the relaxation says, where too few edges enter a set; how many were new."""
        n = self.problem.size
        flow = np.zeros((n, n))
        for value, tree in zip(values, self.trees, strict=False):  # new ones have no value yet
            if value > 1e-9:
                for parent, child in tree:
                    if parent >= 0:
                        flow[parent, child] += value
                        flow[child, parent] += value
        new = 0
        for marks in crowded(flow, self.weights, self.most, MISSING):
            members = np.flatnonzero(marks).tolist()
            if members in self.sets:
                continue
            needed = -(-int(self.weights[members].sum()) // self.most)
            entries = ((number, _entries(tree, members)) for number, tree in enumerate(self.trees))
            holds = {number: float(times) for number, times in entries if times}
            self.program.row(float(needed), INFINITE, holds)
            self.sets.append(members)
            new += 1
        return new


def _entries(tree: Sequence[Edge], members: Sequence[int]) -> int:
    """How often a tree enters a set."""
    inside = set(members)
    return sum(child in inside and parent not in inside for parent, child in tree)
