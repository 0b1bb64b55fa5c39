"""Rows of the relaxation for parts of which every circuit is a set that is priced.

In a plan every item is in exactly one set, in one form of it (`solver.bound.sets`). So of three
items no two sets hold two; as many runs leave the panels as the forms have circuits; and into a box
comes a run for each set with something in it, as no circuit comes to a box that it has nothing in.
All sets together cost no less than the cheapest of all ways to deal the items to sets.
"""

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from functools import cache
from itertools import combinations
from typing import TYPE_CHECKING

from solver.bound.sets import Form, Sets
from solver.lighting import new_light_circuits

if TYPE_CHECKING:
    from solver.bound.runs import Runs, Terms


def add_sets(runs: "Runs", numbers: Sequence[int], sets: Sets) -> None:
    """Every item in a set; runs and breakers cost no less than the circuits of the sets do.

    What the runs of a plan are counted at may be less than they cost: `more` is the rest.
    """
    costs = runs.program.costs
    mine = [arc.number for arc in runs.arcs if arc.part in numbers]
    for number in numbers:
        mine += [n for alone in runs.staying[number].values() for n in alone]
        mine += [runs.shared[item] for item in runs.staying[number]]
    taken = {
        runs.program.variable(0, 1): (items, form)
        for items, forms in sets.forms.items()
        for form in forms
    }
    for item in sets.items:
        within = {n: 1 for n, (items, _) in taken.items() if item in items}
        runs.program.add(within, 1, ("in a set", item))
        runs.program.add(dict.fromkeys(within, -1), -1, ("in one set", item))
    for three in combinations(sets.items, 3):
        two = {n: -1 for n, (items, _) in taken.items() if len(items.intersection(three)) > 1}
        runs.program.add(two, -1, ("two of three in one set", *three))
    dealt = least_dealt(sets.items, {some: forms[0].cost for some, forms in sets.forms.items()})
    if dealt is not None:
        costing = {n: form.cost for n, (_, form) in taken.items()}
        runs.program.add(costing, dealt, ("sets dealt", *numbers))
    more = runs.program.variable(1, sum(form.cost for _, form in taken.values()))
    terms = {n: costs[n] for n in mine if costs[n]} | {more: 1}
    terms |= {n: -form.cost for n, (_, form) in taken.items()}
    runs.program.add(terms, -sum(runs.whatever[n] for n in numbers), ("sets", *numbers))
    for need in runs.circuits.garage_needs:
        if sets.holds(need.yokes):
            serving = {n: 1 for n, (_, form) in taken.items() if need.name in form.serves}
            if serving:  # else no plan has it, as its findings say
                runs.program.add(serving, 1, ("garage", need.name))
    lights = all(runs.parts[number].lights for number in numbers)
    wished = new_light_circuits(runs.circuits.shop)
    if lights and runs.circuits.shop.code.lights_apart and wished > 1:
        runs.program.add(dict.fromkeys(taken, 1), wished, ("light sets", *numbers))
    _enter_sets(runs, numbers, taken)
    runs.places_of_sets |= {n: form.places for n, (_, form) in taken.items()}
    runs.in_sets.update(mine)


def least_dealt(items: Collection[int], costs: Mapping[frozenset[int], int]) -> int | None:
    """The least that sets cost with every item in just one of them; None without a way."""

    @cache
    def least(left: frozenset[int]) -> int | None:
        if not left:
            return 0
        first = min(left)
        costly = ((cost, least(left - some)) for some, cost in holding[first] if some <= left)
        return min((cost + rest for cost, rest in costly if rest is not None), default=None)

    holding = {item: [(some, costs[some]) for some in costs if item in some] for item in items}
    return least(frozenset(items))


def _enter_sets(
    runs: "Runs", numbers: Sequence[int], taken: Mapping[int, tuple[frozenset[int], Form]]
) -> None:
    """As many runs leave the panels as sets have circuits, and as many come into each box as
    there are sets with something in it.
    """
    home: Terms = {}
    into: dict[str, Terms] = defaultdict(dict)
    for number in numbers:
        for arc in (arc for arc in runs.arcs if arc.part == number):
            into[arc.end][arc.number] = 1
            if arc.start in runs.panels:
                home[arc.number] = 1
        for item, alone in runs.staying[number].items():
            home |= alone
            for box in runs.parts[number].boxes[item]:
                into[box] |= alone
    circuits = {n: -form.circuits for n, (_, form) in taken.items()}
    runs.program.add(home | circuits, 0, ("sets from panels", *numbers))
    for box in sorted({box for number in numbers for box in runs.parts[number].at}):
        items = {item for number in numbers for item in runs.parts[number].at.get(box, ())}
        there = {n: -1 for n, (some, _) in taken.items() if some & items}
        runs.program.add(into[box] | there, 0, ("sets at", box, *numbers))
