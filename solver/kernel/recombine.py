"""Recombination: the best choice among many groups that searches have met, by CP-SAT.

It knows what a search knows (`search.py`): items, what a group costs and takes, and what all
groups together may take and what that costs; being over a limit has a price here too. Items that
are alike are one item that is wanted more than once.
"""

from collections.abc import Collection, Mapping, Sequence
from typing import Final

from ortools.sat.python import cp_model

from solver.kernel.search import LIMIT_PRICE, Limits, Taken
from solver.solve import Control

MOST_OVER: Final = 10**6


def recombined(
    items: Sequence[Sequence[int]],
    taken: Sequence[Taken],
    limits: Limits,
    wanted: Mapping[int, int],
    first: Collection[int],
    control: Control,
    share: float,
) -> list[int] | None:
    """Numbers of groups that hold every item as often as it is wanted; None where none were found.

    `items`: of each group, one as often as it stands for others alike; `first`: numbers of groups
    to start from, with all that they take told, so that they are an answer from the start.
    """
    model = cp_model.CpModel()
    built = [model.new_bool_var(f"x[{n}]") for n in range(len(items))]
    holding: dict[int, list[cp_model.IntVar]] = {}
    for group, x in zip(items, built, strict=True):
        for item in group:
            holding.setdefault(item, []).append(x)
    for item in sorted(holding):
        model.add(sum(holding[item]) == wanted.get(item, 1))
    pairs = list(zip(taken, built, strict=True))
    beyond = model.new_int_var(0, MOST_OVER, "beyond")
    dark = model.new_int_var(0, MOST_OVER, "dark")
    model.add(sum(made.poles * x for made, x in pairs) <= limits.poles + beyond)
    model.add(sum(made.lights * x for made, x in pairs) + dark >= limits.lights)
    cost = sum(made.cost * x for made, x in pairs) + LIMIT_PRICE * (beyond + dark)
    inside: dict[str, list[tuple[int, cp_model.IntVar]]] = {}
    for made, x in pairs:
        for thing, amount in made.takes.items():
            if amount and thing in limits.costs:
                inside.setdefault(thing, []).append((amount, x))
    model.add_hint(beyond, max(0, sum(taken[n].poles for n in first) - limits.poles))
    model.add_hint(dark, max(0, limits.lights - sum(taken[n].lights for n in first)))
    for thing in sorted(inside):
        steps = [(0, 0), *limits.costs[thing]]
        at = [model.new_bool_var(f"z[{thing},{n}]") for n in range(len(steps))]
        over = model.new_int_var(0, MOST_OVER, f"over[{thing}]")
        model.add_exactly_one(at)
        there = limits.there.get(thing, 0)
        room = sum((most - there) * z for (most, _), z in zip(steps, at, strict=True))
        model.add(sum(amount * x for amount, x in inside[thing]) <= room + over)
        cost += sum(price * z for (_, price), z in zip(steps, at, strict=True))
        cost += limits.over * over
        used = there + sum(taken[n].takes.get(thing, 0) for n in first)
        size = next((n for n, (most, _) in enumerate(steps) if used <= most), len(steps) - 1)
        for n, z in enumerate(at):
            model.add_hint(z, n == size)
        model.add_hint(over, max(0, used - steps[size][0]))
    model.minimize(cost)
    for number, x in enumerate(built):
        model.add_hint(x, number in first)
    answer = control.run(model, share)
    if not answer.found:
        return None
    return [number for number, x in enumerate(built) if answer.solver.value(x)]
