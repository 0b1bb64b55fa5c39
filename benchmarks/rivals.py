"""Simpler ways to the capacitated tree, for comparison: a savings rule, two plain models, and the
search that plans shops.

Each takes the kernel's problem (trees, one resource) and gives every item's parent, None for the
root, with what it proved; or None where time was up first. Both models have an arc for every pair
and carry a flow from the root, as much as the items behind an arc weigh (Gavish 1983, from memory);
an arc carries nothing unless it is taken. CP-SAT starts from the savings rule's answer.
"""

from collections.abc import Callable
from math import ceil
from typing import Final, NamedTuple

import numpy as np
from ortools.sat.python import cp_model
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import coo_array

from benchmarks.planner_way import planned
from solver.kernel.problem import Problem

ROOT: Final = -1
WORKERS: Final = 2
INTEGRAL: Final = 1e-6


class Found(NamedTuple):
    """Parents of a plan, and what no plan is below."""

    parents: list[int | None]
    bound: int


def esau_williams(problem: Problem, seconds: float) -> Found | None:
    """Join the two groups that save most, until nothing is saved. Esau & Williams 1966.

    Each item begins alone with the root. Joining by the cheapest edge between two groups spares the
    dearer way home of the two. Takes no time to speak of, whatever `seconds` says.
    """
    n, most = problem.size, int(problem.most[0])
    group = np.arange(n)
    home = problem.home.copy()  # the way home of every item's group
    weight = problem.weights[:, 0].copy()  # of every item's group
    while True:
        apart = group[:, None] != group[None, :]
        fits = weight[:, None] + weight[None, :] <= most
        saved = np.where(apart & fits, home[:, None] - problem.between, -1)
        best = int(saved.argmax())
        a, b = divmod(best, n)
        if saved[a, b] <= 0:
            break
        both = (group == group[a]) | (group == group[b])
        way, heavy = min(home[a], home[b]), weight[a] + weight[b]
        group[both], home[both], weight[both] = group[b], way, heavy
    groups = [np.flatnonzero(group == one).tolist() for one in np.unique(group)]
    return Found(problem.parents(groups), 0)


def _arcs(problem: Problem) -> list[tuple[int, int, int]]:
    """From, to and cost of every arc; nothing leads back to the root."""
    n = problem.size
    return [
        *((ROOT, j, int(problem.home[j])) for j in range(n)),
        *((i, j, int(problem.between[i, j])) for i in range(n) for j in range(n) if i != j),
    ]


def by_cp_sat(problem: Problem, seconds: float) -> Found | None:
    """The arc model by CP-SAT."""
    most = int(problem.most[0])
    model = cp_model.CpModel()
    entering: list[list[cp_model.IntVar]] = [[] for _ in range(problem.size)]
    comes: list[list[cp_model.IntVar]] = [[] for _ in range(problem.size)]
    goes: list[list[cp_model.IntVar]] = [[] for _ in range(problem.size)]
    taken = {}
    total = []
    start = esau_williams(problem, seconds)
    assert start is not None
    carried = _carried(problem, start.parents)
    for i, j, cost in _arcs(problem):
        x = model.new_bool_var("")
        flow = model.new_int_var(0, most, "")
        model.add(flow <= most * x)
        model.add(flow >= int(problem.weights[j, 0]) * x)
        used = start.parents[j] == (None if i == ROOT else i)
        model.add_hint(x, used)
        model.add_hint(flow, carried[j] if used else 0)
        taken[i, j] = x
        entering[j].append(x)
        comes[j].append(flow)
        if i != ROOT:
            goes[i].append(flow)
        total.append(cost * x)
    for j in range(problem.size):
        model.add_exactly_one(entering[j])
        model.add(sum(comes[j]) - sum(goes[j]) == int(problem.weights[j, 0]))
    model.minimize(sum(total))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = WORKERS
    solver.parameters.max_time_in_seconds = seconds
    status = solver.solve(model)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return None
    parents = _parents(problem.size, [arc for arc, x in taken.items() if solver.value(x)])
    return Found(parents, ceil(solver.best_objective_bound - INTEGRAL))


def by_highs(problem: Problem, seconds: float) -> Found | None:
    """The arc model by HiGHS, through SciPy."""
    n, most = problem.size, int(problem.most[0])
    arcs = _arcs(problem)
    m = len(arcs)
    to = np.array([j for _, j, _ in arcs])
    start = np.array([i for i, _, _ in arcs])
    column = np.arange(m)
    inner = start != ROOT
    weights = problem.weights[:, 0]
    one = np.ones(m)
    enter = coo_array((one, (to, column)), shape=(n, 2 * m))
    balance = coo_array(
        (
            np.concatenate([one, -one[inner]]),
            (np.concatenate([to, start[inner]]), np.concatenate([m + column, m + column[inner]])),
        ),
        shape=(n, 2 * m),
    )
    twice = np.concatenate([column, column]), np.concatenate([m + column, column])
    room = most - np.where(inner, weights[start], 0)  # what is behind an arc besides its start
    carried = coo_array((np.concatenate([one, -room]), twice), shape=(m, 2 * m))
    needed = coo_array((np.concatenate([one, -weights[to]]), twice), shape=(m, 2 * m))
    answer = milp(
        np.concatenate([np.array([cost for _, _, cost in arcs], float), np.zeros(m)]),
        constraints=[
            LinearConstraint(enter, 1, 1),
            LinearConstraint(balance, weights, weights),
            LinearConstraint(carried, -np.inf, 0),
            LinearConstraint(needed, 0, np.inf),
        ],
        integrality=np.concatenate([one, np.zeros(m)]),
        bounds=Bounds(0, np.concatenate([one, np.full(m, most)])),
        options={"time_limit": seconds},
    )
    if answer.x is None:
        return None
    parents = _parents(n, [arcs[a][:2] for a in np.flatnonzero(answer.x[:m] > 0.5)])
    return Found(parents, ceil(answer.mip_dual_bound - INTEGRAL))


def _carried(problem: Problem, parents: list[int | None]) -> list[int]:
    """What the edge that leads to each item carries: all that is behind it."""
    carried = [0] * problem.size
    for item, weight in enumerate(problem.weights[:, 0].tolist()):
        at: int | None = item
        while at is not None:
            carried[at] += weight
            at = parents[at]
    return carried


def _parents(size: int, arcs: list[tuple[int, int]]) -> list[int | None]:
    parents: list[int | None] = [None] * size
    for i, j in arcs:
        parents[j] = None if i == ROOT else i
    return parents


def by_planner(problem: Problem, seconds: float) -> Found:
    """The search that plans shops, for so many seconds; it proves nothing."""
    return Found(planned(problem, seconds, 1), 0)


RIVALS: Final[dict[str, Callable[[Problem, float], Found | None]]] = {
    "Esau-Williams": esau_williams,
    "CP-SAT, arcs": by_cp_sat,
    "HiGHS, flows": by_highs,
    "planner's search": by_planner,
}
