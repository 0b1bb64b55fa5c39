"""Choosing groups of a pool: every item once, at most so many groups, least cost.

All items at once, by CP-SAT: one worker with a limit of work, not of time, so that the same pool
gives the same choice. The items of a few groups by CBC, whose linear relaxation nearly says which:
it ends by itself in about a second, and its limit of time is there for what nobody has seen yet.
"""

from collections.abc import Sequence
from threading import Lock
from time import monotonic
from typing import Final

import numpy as np
from numpy.typing import NDArray
from ortools.linear_solver import pywraplp  # type: ignore[attr-defined]
from ortools.sat.python import cp_model

from solver.kernel.linear import INFINITE
from solver.kernel.pool import Pool
from solver.repeatable import repeatable_solver

MILLISECONDS: Final = 60_000
ONE_AT_A_TIME: Final = Lock()  # CBC


def chosen(
    pool: Pool,
    rows: NDArray[np.intp],
    items: Sequence[int],
    hint: Sequence[int],
    groups: int | None,
    work: float,
    until: float = INFINITE,
) -> tuple[list[int], bool] | None:
    """Rows that hold each of the items once, cheapest; and whether that is proved.

    `hint` are rows that do; None when nothing cheaper than they was found.
    """
    least = int(pool.costs[list(hint)].sum())
    model = cp_model.CpModel()
    hinted = set(hint)
    taken = {int(row): model.new_bool_var("") for row in rows}
    holding: dict[int, list[cp_model.IntVar]] = {item: [] for item in items}
    for row, variable in taken.items():
        model.add_hint(variable, row in hinted)
        for item in pool.group(row):
            holding[item].append(variable)
    for variables in holding.values():
        model.add_exactly_one(variables)
    if groups is not None:
        model.add(sum(taken.values()) <= groups)
    model.minimize(sum(int(pool.costs[row]) * variable for row, variable in taken.items()))
    solver = repeatable_solver(1, work, until)
    status = solver.solve(model)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return None
    found = [row for row, variable in taken.items() if solver.value(variable)]
    if int(pool.costs[found].sum()) >= least:
        return (list(hint), True) if status == cp_model.OPTIMAL else None
    return found, status == cp_model.OPTIMAL


def chosen_of_few(
    pool: Pool,
    rows: NDArray[np.intp],
    items: Sequence[int],
    groups: int | None,
    until: float = INFINITE,
) -> list[int] | None:
    """Rows that hold each of the items once, cheapest; None where none was proved to be."""
    solver = pywraplp.Solver.CreateSolver("CBC")
    holding = {item: solver.Constraint(1.0, 1.0) for item in items}
    few = solver.Constraint(-INFINITE, INFINITE if groups is None else float(groups))
    objective = solver.Objective()
    objective.SetMinimization()
    taken = {}
    for row in rows.tolist():
        taken[row] = variable = solver.BoolVar("")
        objective.SetCoefficient(variable, float(pool.costs[row]))
        few.SetCoefficient(variable, 1.0)
        for item in pool.group(row):
            holding[item].SetCoefficient(variable, 1.0)
    with ONE_AT_A_TIME:
        left = max(1.0, 1_000 * (until - monotonic()))
        solver.set_time_limit(int(min(MILLISECONDS, left)))
        status = solver.Solve()
    if status != pywraplp.Solver.OPTIMAL:
        return None
    found = [row for row, variable in taken.items() if variable.solution_value() > 0.5]
    held = sorted(item for row in found for item in pool.group(row))
    return found if held == sorted(items) else None
