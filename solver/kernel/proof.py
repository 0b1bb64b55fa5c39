"""Closing the gap: all groups that a better plan could hold, and the choice among them.

`listing.py` finds trees under the prices of a certificate, `walks.py` chains; where they are few,
CP-SAT decides whether a better plan is among them, or says how much cheaper one could be at most.
The rows of the certificate, that as many edges enter a set as its weight needs groups, help it.
"""

from math import ceil
from typing import Final, NamedTuple

import numpy as np
from ortools.sat.python import cp_model

from solver.kernel.anneal import costs_of
from solver.kernel.certificate import Certificate, entering
from solver.kernel.listing import every_tree
from solver.kernel.pool import WORD
from solver.kernel.pricing import Pricing
from solver.kernel.problem import Problem, Whole
from solver.kernel.walks import ahead, every_chain
from solver.repeatable import repeatable_solver

MOST: Final = 200_000  # trees; one set of items may have several
VISITS: Final = 10_000_000
DECIDED: Final = 8_000  # groups that CP-SAT can be asked about


class Listed(NamedTuple):
    """All groups that a plan under some cost can hold, chains in order, and what they cost."""

    groups: list[list[int]]
    costs: list[int]


class Answer(NamedTuple):
    """A plan under the cost asked about, if one was met; and what no plan is below."""

    groups: list[list[int]] | None
    bound: int


def listed(problem: Problem, certificate: Certificate, value: int) -> Listed | None:
    """The groups of all plans that cost less than a value; None if they are too many."""
    weights, most = problem.weights[:, 0].copy(), int(problem.most[0])
    items = np.array(certificate.items, np.int64)
    pricing = Pricing(problem)

    def priced() -> tuple[Whole, Whole, Whole]:
        step, first = entering(
            problem, certificate.scale, items.tolist(), certificate.sets, certificate.opening
        )
        return step, first, pricing.run(step, first)

    cheapest = priced()[2].min(axis=0)[1:]
    rate = min(0, int((cheapest // np.arange(1, most + 1)).min()))
    items += rate * weights  # now no tree costs less than 0
    step, first, _ = priced()
    gap = certificate.scale * (value - 1) - certificate.paid(problem, items.tolist())
    if problem.chains:
        return _listed_chains(problem, step, first, gap)
    _, after, without = pricing.tables
    bits = np.zeros((MOST, -(-problem.size // WORD)), np.uint64)
    count = every_tree(
        problem.between, problem.home, step, first, weights, most, after, without, gap, bits, VISITS
    )
    if count < 0:
        return None
    sets = np.unique(bits[:count], axis=0)
    marks = np.unpackbits(sets.view(np.uint8), axis=1, bitorder="little")
    groups = [np.flatnonzero(row).tolist() for row in marks]
    return Listed(groups, costs_of(problem, groups))


def _listed_chains(problem: Problem, step: Whole, first: Whole, gap: int) -> Listed | None:
    """The cheapest order of every set of items."""
    weights, most = problem.weights[:, 0].copy(), int(problem.most[0])
    chains = np.full((MOST, problem.size), -1, np.int32)
    rest = ahead(step, weights, most)
    count = every_chain(
        problem.between, problem.home, step, first, weights, most, rest, gap, chains, VISITS
    )
    if count < 0:
        return None
    best: dict[tuple[int, ...], tuple[int, list[int]]] = {}
    for row in chains[:count]:
        chain = row[row >= 0].tolist()
        found = (problem.chain_cost(chain), chain)
        items = tuple(sorted(chain))
        best[items] = min(best.get(items, found), found)
    return Listed([chain for _, chain in best.values()], [cost for cost, _ in best.values()])


def decided(
    problem: Problem,
    certificate: Certificate,
    found: Listed,
    value: int,
    work: float,
    until: float = float("inf"),
) -> Answer:
    """Is there a plan of these groups that costs less than a value?"""
    model = cp_model.CpModel()
    taken = [model.new_bool_var("") for _ in found.groups]
    holding: list[list[cp_model.IntVar]] = [[] for _ in range(problem.size)]
    edges: list[list[tuple[int | None, int]]] = []
    for group, variable in zip(found.groups, taken, strict=True):
        for item in group:
            holding[item].append(variable)
        parents = problem.parents([group])
        edges.append([(parents[item], item) for item in group])
    for variables in holding:
        model.add_exactly_one(variables)
    if problem.chains and problem.groups is not None:
        model.add(sum(taken) <= problem.groups)
    weights, most = problem.weights[:, 0], int(problem.most[0])
    for members, _ in certificate.sets:
        inside = set(members)
        times = [sum(b in inside and a not in inside for a, b in tree) for tree in edges]
        needed = -(-int(weights[members].sum()) // most)
        model.add(sum(k * x for k, x in zip(times, taken, strict=True) if k) >= needed)
    cost = sum(one * x for one, x in zip(found.costs, taken, strict=True))
    model.add(cost <= value - 1)
    model.minimize(cost)
    solver = repeatable_solver(1, work, until)
    status = solver.solve(model)
    if status == cp_model.INFEASIBLE:
        return Answer(None, value)
    bound = min(value, ceil(solver.best_objective_bound - 1e-6))
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Answer(None, bound)
    return Answer([g for g, x in zip(found.groups, taken, strict=True) if solver.value(x)], bound)
