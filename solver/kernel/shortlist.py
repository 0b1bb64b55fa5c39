"""The relaxation: of very many circuits, what items and rows are worth, and which to select from.

The linear relaxation of the selection (every item once, spaces and lighting circuits kept, and what
turned out to be scarce) prices items and rows. A circuit's reduced cost says how much it costs
beyond what its items are worth. The relaxation is solved over few columns at first; those of the
rest that would better it are added until none would. Nothing is proved about what is left out.

Items that are alike are one item that is wanted more than once.
"""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray
from ortools.linear_solver.python import model_builder

ROUNDS: Final = 12
AT_FIRST: Final = 800
ADDED: Final = 500
LEAST: Final = 300.0  # a gain of less is not waited for [0.0001 USD]

Numbers = NDArray[np.float64]


class Column(NamedTuple):
    """A circuit as the relaxation sees it; `items` names an item as often as it holds it."""

    items: tuple[int, ...]
    cost: int
    poles: int
    lights: int
    scarce: tuple[int, ...] = ()


class Rows(NamedTuple):
    """What all circuits together may take at most; of lights they are at least so many."""

    poles: float
    doubles: float
    lights: float
    wanted: Mapping[int, int] = {}  # items that are wanted more than once
    scarce: tuple[int, ...] = ()


class Worth(NamedTuple):
    """What the relaxation pays: for each item, and for a unit of each row."""

    items: Numbers
    pole: float
    double: float
    light: float
    scarce: Numbers
    value: float

    def reduced(self, column: Column) -> float:
        """What a circuit costs beyond what its items are worth."""
        taken = sum(a * b for a, b in zip(self.scarce, column.scarce, strict=True))
        return float(
            column.cost
            - sum(self.items[item] for item in column.items)
            - self.pole * column.poles
            - self.double * (column.poles == 2)
            - self.light * column.lights
            - taken
        )


class Relaxation:
    """The relaxation over many columns."""

    def __init__(self, rows: Rows, columns: Sequence[Column]) -> None:
        self.rows, self.columns = rows, columns
        self.costs = np.array([column.cost for column in columns], dtype=np.float64)
        self._poles = np.array([column.poles for column in columns], dtype=np.float64)
        self._lights = np.array([column.lights for column in columns], dtype=np.float64)
        self._scarce = np.array([c.scarce for c in columns], dtype=np.float64).reshape(
            len(columns), len(rows.scarce)
        )
        sizes = np.array([len(column.items) for column in columns])
        self._flat = np.array([item for column in columns for item in column.items])
        self._starts = np.concatenate(([0], np.cumsum(sizes)[:-1]))
        self._dear = np.lexsort((np.arange(len(columns)), self.costs / sizes))

    def reduced(self, worth: Worth) -> Numbers:
        """The reduced cost of every column."""
        return np.asarray(
            self.costs
            - np.add.reduceat(worth.items[self._flat], self._starts)
            - worth.pole * self._poles
            - worth.double * (self._poles == 2)
            - worth.light * self._lights
            - self._scarce @ worth.scarce
        )

    def solve(self, kept: Iterable[int], before: Worth | None = None) -> Worth | None:
        """What everything is worth; None when the relaxation has no answer.

        `before`: what it was worth over nearly the same columns, to start from.
        """
        order = self._dear if before is None else np.argsort(self.reduced(before), kind="stable")
        inside = {*kept, *order[:AT_FIRST].tolist(), *self._one_for_each_item()}
        worth: Worth | None = None
        for _ in range(ROUNDS):
            worth = _solved(self.rows, [self.columns[number] for number in sorted(inside)])
            if worth is None:
                return None
            reduced = self.reduced(worth)
            better = np.flatnonzero(reduced < -LEAST)
            if not len(better):
                break
            order = better[np.argsort(reduced[better], kind="stable")][:ADDED]
            inside.update(order.tolist())
        return worth

    def shortest(self, worth: Worth | None, kept: Iterable[int], most: int) -> list[int]:
        """Numbers of at most so many columns by reduced cost, in order, and always those kept."""
        reduced = self.costs if worth is None else self.reduced(worth)
        order = np.lexsort((np.arange(len(self.columns)), self.costs, reduced))
        return sorted({*kept, *order[:most].tolist()})

    def _one_for_each_item(self) -> set[int]:
        """The first column that holds each item, so that the relaxation has an answer."""
        first: dict[int, int] = {}
        for number, column in enumerate(self.columns):
            for item in column.items:
                first.setdefault(item, number)
        return set(first.values())


def _solved(rows: Rows, columns: Sequence[Column]) -> Worth | None:
    """What items and rows are worth over a few columns."""
    model = model_builder.Model()  # type: ignore[no-untyped-call]
    built = [model.new_num_var(0.0, float("inf"), f"x{n}") for n in range(len(columns))]
    holding: dict[int, dict[int, int]] = {}
    for n, column in enumerate(columns):
        for item, count in Counter(column.items).items():
            holding.setdefault(item, {})[n] = count
    weighted = model_builder.LinearExpr.weighted_sum
    items = {
        item: model.add(
            weighted([built[n] for n in inside], [float(count) for count in inside.values()])
            == float(rows.wanted.get(item, 1))
        )
        for item, inside in sorted(holding.items())
    }
    poles = model.add(weighted(built, [float(c.poles) for c in columns]) <= rows.poles)
    doubles = model.add(weighted(built, [float(c.poles == 2) for c in columns]) <= rows.doubles)
    lights = model.add(weighted(built, [float(c.lights) for c in columns]) >= rows.lights)
    short = model.new_num_var(0.0, float("inf"), "short")
    scarce = []
    takes = np.array([column.scarce for column in columns], dtype=np.float64)
    for number, most in enumerate(rows.scarce):
        (some,) = takes[:, number].nonzero()
        taking = [short, *(built[n] for n in some)]
        scarce.append(model.add(weighted(taking, [-1.0, *takes[some, number]]) <= float(most)))
    costs = [float(c.cost) for c in columns]
    dear = max(costs, default=1.0)
    model.minimize(weighted([*built, short], [*costs, dear]))
    solver = model_builder.Solver("GLOP")
    if solver.solve(model) != model_builder.SolveStatus.OPTIMAL:
        return None
    worth = np.zeros(max(items) + 1)
    for item, row in items.items():
        worth[item] = solver.dual_value(row)
    pole, double, light = map(solver.dual_value, (poles, doubles, lights))
    prices = np.array([solver.dual_value(row) for row in scarce])
    return Worth(worth, pole, double, light, prices, float(solver.objective_value))
