"""The shortlist: of a large pool, the circuits worth selecting from.

The linear relaxation of the selection (every item once, spaces and lighting circuits kept) prices
items and rows. A circuit's reduced cost says how much it costs beyond what its items are worth; the
cheapest by that measure are kept, and always those of the incumbent. Nothing is proved about what
is left out.
"""

from collections.abc import Sequence
from typing import Final

from ortools.linear_solver.python import model_builder

from models.shop import Shop
from solver.candidate import Candidate
from solver.lighting import new_light_circuits
from solver.panel import free_pairs, free_spaces

MOST_SELECTED: Final = 2_000


def shortlist(
    shop: Shop, pool: Sequence[Candidate], first: Sequence[Candidate], *, copper: bool
) -> list[Candidate]:
    """At most `MOST_SELECTED` circuits by reduced cost, the incumbent's among them."""
    if len(pool) <= MOST_SELECTED:
        return list(pool)
    costs = [candidate.copper if copper else candidate.cost for candidate in pool]
    reduced = _reduced_costs(shop, pool, costs)
    order = sorted(range(len(pool)), key=lambda n: (reduced[n], costs[n], pool[n].items))
    kept = set(order[:MOST_SELECTED])
    kept.update(n for n, candidate in enumerate(pool) if candidate in first)
    return [candidate for n, candidate in enumerate(pool) if n in kept]


def _reduced_costs(shop: Shop, pool: Sequence[Candidate], costs: Sequence[int]) -> list[float]:
    """Cost less the duals of the rows a circuit is in; plain cost when the LP has no answer."""
    model = model_builder.Model()  # type: ignore[no-untyped-call]
    built = [model.new_num_var(0.0, 1.0, f"x{n}") for n in range(len(pool))]
    holding: dict[int, list[int]] = {}
    for n, candidate in enumerate(pool):
        for item in candidate.items:
            holding.setdefault(item, []).append(n)
    items = {
        item: model.add(model_builder.LinearExpr.sum([built[n] for n in inside]) == 1.0)
        for item, inside in sorted(holding.items())
    }
    free = [free_spaces(shop, panel) for panel in shop.supply.panels]
    poles = [float(candidate.poles) for candidate in pool]
    room = float(sum(map(len, free)) - shop.later.spare_spaces)
    spaces = model.add(model_builder.LinearExpr.weighted_sum(built, poles) <= room)
    lit = [float(candidate.lights) for candidate in pool]
    wanted = float(new_light_circuits(shop))
    lights = model.add(model_builder.LinearExpr.weighted_sum(built, lit) >= wanted)
    double = [float(candidate.poles == 2) for candidate in pool]
    pairs = model.add(
        model_builder.LinearExpr.weighted_sum(built, double) <= float(sum(map(free_pairs, free)))
    )
    model.minimize(model_builder.LinearExpr.weighted_sum(built, [float(c) for c in costs]))
    solver = model_builder.Solver("GLOP")
    if solver.solve(model) != model_builder.SolveStatus.OPTIMAL:
        return [float(cost) for cost in costs]
    worth = {item: solver.dual_value(row) for item, row in items.items()}
    space, pair, light = map(solver.dual_value, (spaces, pairs, lights))
    return [
        cost
        - sum(worth[item] for item in candidate.items)
        - space * candidate.poles
        - pair * (candidate.poles == 2)
        - light * candidate.lights
        for candidate, cost in zip(pool, costs, strict=True)
    ]
