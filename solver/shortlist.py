"""The shortlist: of very many circuits, those worth selecting from.

The linear relaxation of the selection (every item once, spaces and lighting circuits kept) prices
items and rows. A circuit's reduced cost says how much it costs beyond what its items are worth; the
cheapest by that measure are kept. The relaxation is solved over few columns at first; those of the
rest that would better it are added until none would. Nothing is proved about what is left out.
"""

from collections.abc import Sequence
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray
from ortools.linear_solver.python import model_builder

from models.shop import Shop
from solver.lighting import new_light_circuits
from solver.panel import free_pairs, free_spaces

ROUNDS: Final = 12
AT_FIRST: Final = 1_500
ADDED: Final = 1_000
LEAST: Final = 1.0  # less than this below zero is rounding

Numbers = NDArray[np.float64]


class Column(NamedTuple):
    """A circuit as the relaxation sees it."""

    items: tuple[int, ...]
    cost: int
    poles: int
    lights: int


class Rows(NamedTuple):
    """What all circuits together may take: poles, two-pole breakers; lights at least."""

    poles: float
    doubles: float
    lights: float

    @classmethod
    def of(cls, shop: Shop) -> "Rows":
        """The rows of a shop, all panels together."""
        free = [free_spaces(shop, panel) for panel in shop.supply.panels]
        return cls(
            float(sum(map(len, free)) - shop.later.spare_spaces),
            float(sum(map(free_pairs, free))),
            float(new_light_circuits(shop)),
        )


def shortlist(rows: Rows, columns: Sequence[Column], kept: Sequence[int], most: int) -> list[int]:
    """Numbers of at most so many columns by reduced cost, in order, and always those kept."""
    if len(columns) <= most:
        return list(range(len(columns)))
    reduced = _reduced_costs(rows, columns, kept)
    costs = np.array([column.cost for column in columns], dtype=np.float64)
    order = np.lexsort((np.arange(len(columns)), costs, reduced))
    return sorted({*kept, *order[:most].tolist()})


def _reduced_costs(rows: Rows, columns: Sequence[Column], kept: Sequence[int]) -> Numbers:
    """Cost less the duals of the rows a circuit is in; plain cost when the LP has no answer."""
    costs = np.array([column.cost for column in columns], dtype=np.float64)
    poles = np.array([column.poles for column in columns], dtype=np.float64)
    lights = np.array([column.lights for column in columns], dtype=np.float64)
    flat = np.array([item for column in columns for item in column.items])
    sizes = np.array([len(column.items) for column in columns])
    starts = np.concatenate(([0], np.cumsum(sizes)[:-1]))
    at_first = np.lexsort((np.arange(len(columns)), costs / sizes))[:AT_FIRST]
    inside = sorted({*kept, *at_first.tolist(), *_one_for_each_item(columns)})
    reduced = costs
    for _ in range(ROUNDS):
        duals = _duals(rows, [columns[number] for number in inside])
        if duals is None:
            return reduced
        worth, pole, double, light = duals
        reduced = (
            costs
            - np.add.reduceat(worth[flat], starts)
            - pole * poles
            - double * (poles == 2)
            - light * lights
        )
        better = np.flatnonzero(reduced < -LEAST)
        if not len(better):
            break
        order = better[np.argsort(reduced[better], kind="stable")][:ADDED]
        inside = sorted({*inside, *order.tolist()})
    return reduced


def _one_for_each_item(columns: Sequence[Column]) -> set[int]:
    """The first column that holds each item, so that the relaxation has an answer."""
    first: dict[int, int] = {}
    for number, column in enumerate(columns):
        for item in column.items:
            first.setdefault(item, number)
    return set(first.values())


def _duals(rows: Rows, columns: Sequence[Column]) -> tuple[Numbers, float, float, float] | None:
    """What items, a pole, a two-pole breaker and a lighting circuit are worth."""
    model = model_builder.Model()  # type: ignore[no-untyped-call]
    built = [model.new_num_var(0.0, 1.0, f"x{n}") for n in range(len(columns))]
    holding: dict[int, list[int]] = {}
    for n, column in enumerate(columns):
        for item in column.items:
            holding.setdefault(item, []).append(n)
    total, weighted = model_builder.LinearExpr.sum, model_builder.LinearExpr.weighted_sum
    items = {
        item: model.add(total([built[n] for n in inside]) == 1.0)
        for item, inside in sorted(holding.items())
    }
    poles = model.add(weighted(built, [float(c.poles) for c in columns]) <= rows.poles)
    doubles = model.add(weighted(built, [float(c.poles == 2) for c in columns]) <= rows.doubles)
    lights = model.add(weighted(built, [float(c.lights) for c in columns]) >= rows.lights)
    model.minimize(weighted(built, [float(c.cost) for c in columns]))
    solver = model_builder.Solver("GLOP")
    if solver.solve(model) != model_builder.SolveStatus.OPTIMAL:
        return None
    worth = np.zeros(max(items) + 1)
    for item, row in items.items():
        worth[item] = solver.dual_value(row)
    pole, double, light = map(solver.dual_value, (poles, doubles, lights))
    return worth, pole, double, light
