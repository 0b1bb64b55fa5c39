"""A linear program that grows by rows and columns, by CLP, begun anew where its numbers spoil.

Each time it goes on from the last basis, which presolving would throw away: with the primal simplex
where columns were added, with the dual one where only rows or limits changed.
"""

from collections.abc import Mapping
from typing import Any, Final

import numpy as np
from ortools.linear_solver import pywraplp  # type: ignore[attr-defined]

from solver.kernel.pool import Numbers

INFINITE: Final = float("inf")
KINDS: Final = pywraplp.MPSolverParameters


class GrowingProgram:
    """Least cost with non-negative columns; every row has a least and a most."""

    def __init__(self) -> None:
        self.solver: Any = pywraplp.Solver.CreateSolver("CLP")
        self.rows: list[Any] = []
        self.columns: list[Any] = []
        self.objective = self.solver.Objective()
        self.objective.SetMinimization()
        self.value = INFINITE
        self.wider = True  # columns were added since it was solved

    def row(self, least: float, most: float, holds: Mapping[int, float] | None = None) -> int:
        """Add a row over columns that are there; its number."""
        row = self.solver.Constraint(least, most)
        for column, amount in (holds or {}).items():
            row.SetCoefficient(self.columns[column], amount)
        self.rows.append(row)
        return len(self.rows) - 1

    def column(self, cost: float, holds: Mapping[int, float]) -> int:
        """Add a column over rows that are there; its number."""
        column = self.solver.NumVar(0.0, INFINITE, "")
        self.objective.SetCoefficient(column, cost)
        for row, amount in holds.items():
            self.rows[row].SetCoefficient(column, amount)
        self.columns.append(column)
        self.wider = True
        return len(self.columns) - 1

    def least(self, column: int, least: float) -> None:
        """Take so much of a column at least."""
        self.columns[column].SetLb(least)

    def most(self, column: int, most: float) -> None:
        """Take so much of a column at most."""
        self.columns[column].SetUb(most)

    def solve(self) -> bool:
        """Solve; False when CLP finds no optimum, not even from the beginning."""
        how = KINDS()
        how.SetIntegerParam(KINDS.PRESOLVE, KINDS.PRESOLVE_OFF)
        how.SetIntegerParam(KINDS.LP_ALGORITHM, KINDS.PRIMAL if self.wider else KINDS.DUAL)
        self.wider = False
        status = self.solver.Solve(how)
        if status != pywraplp.Solver.OPTIMAL:
            anew = KINDS()
            anew.SetIntegerParam(KINDS.INCREMENTALITY, KINDS.INCREMENTALITY_OFF)
            status = self.solver.Solve(anew)
        if status != pywraplp.Solver.OPTIMAL:
            return False
        self.value = self.objective.Value()
        return True

    def prices(self) -> Numbers:
        """What a unit of every row is worth."""
        return np.array([row.dual_value() for row in self.rows])

    def values(self) -> Numbers:
        """How much of every column is taken."""
        return np.array([column.solution_value() for column in self.columns])
