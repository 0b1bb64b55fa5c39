"""A linear program that grows by rows, and a lower bound from it in whole numbers.

Minimize Σ c·x over 0 ≤ x ≤ u with rows Σ a·x ≥ b, all coefficients whole numbers. GLOP finds what
the rows are worth; these prices, rounded, give a bound that is exact whatever GLOP rounded:
Σ λ·b + Σ min(0, c − Σ λ·a)·u  for all λ ≥ 0.
"""

from collections.abc import Mapping, Sequence
from typing import Any, Final

from ortools.linear_solver.python import model_builder

SCALE: Final = 10**6  # prices of rows are whole millionths


class Row:
    """One row, Σ a·x ≥ b; `says` what it asks for."""

    __slots__ = ("least", "says", "terms")

    def __init__(self, terms: Mapping[int, int], least: int, says: tuple[Any, ...]) -> None:
        self.terms = {number: factor for number, factor in terms.items() if factor}
        self.least, self.says = least, says


class Program:
    """Variables with their costs and most, and rows."""

    def __init__(self) -> None:
        self.costs: list[int] = []
        self.most: list[int] = []
        self.values: list[float] = []
        self.rows: list[Row] = []
        self.model = model_builder.Model()  # type: ignore[no-untyped-call]
        self._made: list[model_builder.Variable] = []
        self._duals: list[model_builder.LinearConstraint] = []
        self.prices: list[int] = []

    def variable(self, cost: int, most: int) -> int:
        """A variable from 0 to `most`; its number."""
        self.costs.append(cost)
        self.most.append(most)
        self.values.append(0.0)
        self._made.append(self.model.new_num_var(0.0, float(most), f"x{len(self._made)}"))
        return len(self.costs) - 1

    def add(self, terms: Mapping[int, int], least: int, says: tuple[Any, ...] = ()) -> None:
        """Σ a·x ≥ b."""
        row = Row(terms, least, says)
        self.rows.append(row)
        weighted = model_builder.LinearExpr.weighted_sum
        numbers = list(row.terms)
        left = weighted([self._made[n] for n in numbers], [float(row.terms[n]) for n in numbers])
        self._duals.append(self.model.add(left >= float(least)))

    def enter(self, number: int, factors: Mapping[int, int]) -> None:
        """Let a variable count in rows that are there, by their numbers."""
        for row, factor in factors.items():
            self.rows[row].terms[number] = factor
            self._duals[row].add_term(self._made[number], float(factor))

    def solve(self) -> bool:
        """Find values and prices; False when there are none."""
        weighted = model_builder.LinearExpr.weighted_sum
        self.model.minimize(weighted(self._made, list(map(float, self.costs))))
        solver = model_builder.Solver("GLOP")
        solver.set_solver_specific_parameters("use_dual_simplex: true")  # quicker after cuts
        if solver.solve(self.model) != model_builder.SolveStatus.OPTIMAL:
            return False
        self.values = [solver.value(x) for x in self._made]
        self.prices = [max(0, round(SCALE * solver.dual_value(row))) for row in self._duals]
        return True

    def priced(self) -> dict[tuple[Any, ...], int]:
        """Rows that are worth something, by name, with their prices."""
        pairs = zip(self.rows, self.prices, strict=True)
        return {row.says: price for row, price in pairs if price}

    def bound(self, more: int = 0) -> int:
        """What no solution goes below, by the prices found last; `more` comes to it, in
        millionths.
        """
        return bound_of(self.costs, self.most, self.rows, self.prices, more)


def bound_of(
    costs: Sequence[int],
    most: Sequence[int],
    rows: Sequence[Row],
    prices: Sequence[int],
    more: int = 0,
) -> int:
    """The bound that some prices of rows give, in whole numbers; prices in millionths."""
    reduced = [SCALE * cost for cost in costs]
    total = more
    for row, price in zip(rows, prices, strict=True):
        if price:
            total += price * row.least
            for number, factor in row.terms.items():
                reduced[number] -= price * factor
    total += sum(min(0, left) * up for left, up in zip(reduced, most, strict=True))
    return -(-total // SCALE)
