"""A true bound: column generation over trees that may repeat items, with rounded capacity cuts.

Every plan is a mix of such trees in which each item is entered once, and as many edges enter a set of
items as its weight needs groups (rounded up). GLOP proposes prices; rounded to whole numbers they
prove a bound whatever GLOP did, because `arbs.py` prices all trees exactly; the best prices are kept
as a `Certificate`. Trees that search and growing liked come first, then those that pricing finds.

Needs one resource of which every item weighs 1 or more, trees, and limits that keep n²·Q² small.
Lübbecke & Desrosiers 2005; Uchoa et al. 2008.
"""

from collections.abc import Sequence
from typing import Final

import numpy as np
from ortools.math_opt.python import mathopt

from solver.kernel.arbs import NEVER, crowded, edges, price
from solver.kernel.certificate import Certificate, entering
from solver.kernel.problem import Problem

SCALE: Final = 1_000
MOST_STEPS: Final = 2_000_000_000
MISSING: Final = 0.02  # of an edge, for a cut
CLOSE: Final = 1.0005  # the relaxation is near enough to its bound for cuts
Edge = tuple[int, int]  # from -1, the root


def bounded(problem: Problem) -> bool:
    """Can this problem be bounded in this way?"""
    return (
        not problem.chains
        and len(problem.most) == 1
        and int(problem.weights.min()) > 0
        and (problem.size * int(problem.most[0])) ** 2 <= MOST_STEPS
    )


class Bound:
    """The bound of one problem, better with every round."""

    def __init__(self, problem: Problem, groups: Sequence[Sequence[int]]) -> None:
        """`groups` must hold every item; the more good ones, the fewer rounds."""
        self.problem = problem
        self.weights, self.most = problem.weights[:, 0].copy(), int(problem.most[0])
        self.model = mathopt.Model()
        self.once = [self.model.add_linear_constraint(lb=1, ub=1) for _ in range(problem.size)]
        self.sets: list[list[int]] = []
        self.cuts: list[mathopt.LinearConstraint] = []
        self.variables: list[mathopt.Variable] = []
        self.trees: list[list[Edge]] = []
        self.known: set[tuple[Edge, ...]] = set()
        self.solver = mathopt.IncrementalSolver(self.model, mathopt.SolverType.GLOP)
        self.best = Certificate(SCALE, [0] * problem.size, [])
        self.value = 0
        self.relaxed = float("inf")
        self.done = False
        for group in groups:
            parents = problem.parents([group])
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
        variable = self.model.add_variable(lb=0.0)
        cost = 0
        entered = [0] * self.problem.size
        for parent, child in tree:
            entered[child] += 1
            cost += int(
                self.problem.home[child] if parent < 0 else self.problem.between[parent, child]
            )
        for item, times in enumerate(entered):
            if times:
                self.once[item].set_coefficient(variable, float(times))
        for cut, members in zip(self.cuts, self.sets, strict=True):
            times = _entries(tree, members)
            if times:
                cut.set_coefficient(variable, float(times))
        self.model.objective.set_linear_coefficient(variable, float(cost))
        self.variables.append(variable)
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
        result = self.solver.solve()
        if not result.has_dual_feasible_solution():
            self.solver = mathopt.IncrementalSolver(self.model, mathopt.SolverType.GLOP)
            result = self.solver.solve()
        duals = result.dual_values()
        self.relaxed = result.objective_value()
        items = [round(SCALE * duals[row]) for row in self.once]
        sets = [
            (members, max(0, round(SCALE * duals[cut])))
            for members, cut in zip(self.sets, self.cuts, strict=True)
        ]
        used = [pair for pair in sets if pair[1]]
        step, first = entering(self.problem, SCALE, items, used)
        tables = price(step, self.weights, self.most)
        cheapest = np.minimum(tables[2][self.problem.size], NEVER // 2) + first[:, None]
        bound = self._proved(items, used, cheapest)
        new = 0
        for top in np.argsort(cheapest.min(axis=1), kind="stable").tolist():
            weight = int(cheapest[top].argmin())
            if cheapest[top, weight] >= -1:
                break
            tree = [(-1, top), *map(tuple, edges(step, self.weights, *tables, top, weight).tolist())]
            new += self._join(tree)
        if not new or self.relaxed <= CLOSE * bound:
            values = result.variable_values()
            if not self._cut([values.get(variable, 0.0) for variable in self.variables]) and not new:
                self.done = True

    def _proved(
        self, items: list[int], used: list[tuple[list[int], int]], cheapest: np.ndarray
    ) -> float:
        """What these prices prove; the best are kept."""
        paid = sum(items)
        for members, worth in used:
            paid += worth * -(-int(self.weights[members].sum()) // self.most)
        by_weight = cheapest.min(axis=0)
        everything = int(self.weights.sum())
        worst = min(
            (everything * int(by_weight[q]) // q for q in range(1, self.most + 1)), default=0
        )
        bound = paid + min(0, worst)
        if -(-bound // SCALE) > self.value:
            self.value = -(-bound // SCALE)
            self.best = Certificate(SCALE, items, used)
        return bound / SCALE

    def _cut(self, values: list[float]) -> int:
        """Cut off what the relaxation says, where too few edges enter a set; how many were new."""
        n = self.problem.size
        flow = np.zeros((n, n))
        for value, tree in zip(values, self.trees, strict=True):
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
            cut = self.model.add_linear_constraint(lb=float(needed))
            for variable, tree in zip(self.variables, self.trees, strict=True):
                times = _entries(tree, members)
                if times:
                    cut.set_coefficient(variable, float(times))
            self.sets.append(members)
            self.cuts.append(cut)
            new += 1
        return new


def _entries(tree: Sequence[Edge], members: Sequence[int]) -> int:
    """How often a tree enters a set."""
    inside = set(members)
    return sum(child in inside and parent not in inside for parent, child in tree)
