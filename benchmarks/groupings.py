"""Other ways to group the receptacles of a shop: along the walls, by savings, one circuit each.

Each gives sets of item numbers that are circuits by the exact checks of `solver.circuit`. Savings:
Clarke and Wright, Scheduling of vehicles from a central depot to a number of delivery points
(Operations Research 12, 1964; from memory). Costs in the whole unit of `solver.candidate`.
"""

from collections.abc import Callable
from time import monotonic
from typing import Final

from solver.circuit import Circuits
from solver.refusal import Refusal

Group = frozenset[int]
Grouping = Callable[[Circuits, float], list[Group]]
NEAREST: Final = 16  # groups that a group may be merged with, where there are many


def cost_of_set(circuits: Circuits, group: Group) -> int | None:
    """What the cheapest circuit of a set costs; None when it can be none."""
    made = circuits.candidates(group)
    return None if isinstance(made, Refusal) else made[0].cost


def seated(circuits: Circuits) -> list[Group]:
    """Every item on its own; a machine without a receptacle with the first that takes it."""
    items = circuits.points.items
    groups: list[Group] = []
    left = set(range(len(items)))
    for machine in [i for i in sorted(left) if any(p.options for p in items[i].points)]:
        if machine not in left:
            continue
        names = {name for p in items[machine].points for name in p.options}
        yokes = [i for i in sorted(left) if names & {p.id for p in items[i].points}]
        sets = [frozenset({machine, yoke}) for yoke in yokes]
        sets += [group | {machine} for group in groups]
        fits = next((s for s in sets if cost_of_set(circuits, s) is not None), None)
        if fits is not None:
            groups = [group for group in groups if not group <= fits] + [fits]
            left -= fits
    return groups + [frozenset({item}) for item in sorted(left)]


def one_each(circuits: Circuits, _: float) -> list[Group]:
    """Every receptacle yoke on a circuit of its own."""
    return seated(circuits)


def along_the_walls(circuits: Circuits, _: float) -> list[Group]:
    """In order around the room, the 240 V ones alone; a new circuit when the next does not fit."""
    groups: list[Group] = []
    current: Group = frozenset()
    for unit in sorted(seated(circuits), key=min):
        if circuits.points_of(unit)[0].volts == 240:
            groups.append(unit)
            continue
        if current and cost_of_set(circuits, current | unit) is None:
            groups.append(current)
            current = frozenset()
        current |= unit
    return [*groups, current] if current else groups


def savings(circuits: Circuits, until: float) -> list[Group]:
    """Merge the two groups that save most, by exact costs, until none saves or time is up."""
    groups = seated(circuits)
    saved: dict[frozenset[Group], int] = {}

    def weigh(one: Group, two: Group) -> None:
        apart = cost_of_set(circuits, one), cost_of_set(circuits, two)
        joined = cost_of_set(circuits, one | two)
        if joined is not None and None not in apart:
            saved[frozenset({one, two})] = sum(cost or 0 for cost in apart) - joined

    for one, two in near_pairs(circuits, groups):
        if monotonic() > until:
            break
        weigh(one, two)
    while monotonic() <= until:
        best = max(saved, key=lambda p: (saved[p], sorted(map(sorted, p))), default=None)
        if best is None or saved[best] <= 0:
            break
        merged: Group = frozenset().union(*best)
        groups = [group for group in groups if group not in best]
        saved = {pair: worth for pair, worth in saved.items() if not pair & best}
        for other in nearest(circuits, merged, groups):
            if monotonic() > until:
                break
            weigh(merged, other)
        groups.append(merged)
    return groups


def near_pairs(circuits: Circuits, groups: list[Group]) -> list[tuple[Group, Group]]:
    """All pairs of a group and one of its nearest, nearest first."""
    pairs = {
        frozenset({group, other})
        for group in groups
        for other in nearest(circuits, group, [one for one in groups if one != group])
    }
    ordered = [tuple(sorted(pair, key=sorted)) for pair in pairs]
    ordered.sort(key=lambda pair: (apart(circuits, *pair), *map(sorted, pair)))
    return [(one, two) for one, two in ordered]


def nearest(circuits: Circuits, group: Group, groups: list[Group]) -> list[Group]:
    """The groups nearest to one."""
    return sorted(groups, key=lambda other: (apart(circuits, group, other), sorted(other)))[
        :NEAREST
    ]


def apart(circuits: Circuits, one: Group, two: Group) -> int:
    """The least distance between boxes of two groups, along the axes. [0.01 ft]"""
    places = circuits.ways.places
    first, second = (
        [places[p.box] for p in circuits.points_of(group) if p.box] for group in (one, two)
    )
    return min(
        (sum(abs(a - b) for a, b in zip(p, q, strict=True)) for p in first for q in second),
        default=0,
    )


def split_to_fit(circuits: Circuits, units: list[Group]) -> list[Group]:
    """Units of one wished circuit, in order, as the fewest circuits that begin where one ends."""
    made: list[Group] = []
    for unit in units:
        if made and cost_of_set(circuits, made[-1] | unit) is not None:
            made[-1] |= unit
        else:
            made.append(unit)
    return made
