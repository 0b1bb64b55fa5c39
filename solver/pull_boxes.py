"""Boxes that conductors of 4 AWG and larger pass or end in: how long their sides must be. Inches.

Source: NFPA 70 (2017, 2020, 2023) 314.28(A). Every raceway that ends in a box counts, in use or
not; cables of other circuits beside them do not: the rules look at those in the finished plan.
"""

from collections.abc import Iterable
from itertools import pairwise

from models.formulas.pull_boxes import angle_pull_in, straight_pull_in
from models.shop import Shop
from solver.candidate import Edge
from solver.routes import RacewayRoute, Ways

Direction = tuple[int, int, int]


def least_sides_in(shop: Shop, ways: Ways, edges: Iterable[Edge]) -> dict[str, float]:
    """Shortest side that every box on some runs in raceways may have, by its id. [in]"""
    least: dict[str, float] = {}
    panels = {panel.id for panel in shop.supply.panels}
    for edge in edges:
        way = edge.way
        stops = (edge.start, *way.via, edge.end)
        for place, stop in enumerate(stops):
            entries = way.raceways[max(0, place - 1) : place + 1]
            if stop not in panels:
                found = _side_in(shop, ways, stop, entries)
                least[stop] = max(found, least.get(stop, 0.0))
    return least


def _side_in(shop: Shop, ways: Ways, box: str, entries: tuple[str, ...]) -> float:
    """What one run asks of a box that it comes into by these raceways. [in]"""
    flat = _flat_axis(shop, box)
    there = {
        name: _leaves(route, box)
        for name, route in ways.raceways.items()
        if box in route.raceway.ends
    }
    size = {name: ways.raceways[name].raceway.trade_size for name in there}
    if len(entries) == 2 and _opposite(there[entries[0]], there[entries[1]]):
        return 0.0 if there[entries[0]][flat] else straight_pull_in([size[n] for n in entries])
    rows = (
        [size[other] for other in there if there[other] == there[name]]
        for name in entries
        if not there[name][flat]
    )
    return max((angle_pull_in([row]) for row in rows), default=0.0)


def _opposite(one: Direction, other: Direction) -> bool:
    return all(a == -b for a, b in zip(one, other, strict=True))


def _leaves(route: RacewayRoute, box: str) -> Direction:
    """The direction in which a raceway leaves a box."""
    path = route.path if route.raceway.ends[0] == box else route.path[::-1]
    for (x0, y0, z0), (x1, y1, z1) in pairwise(path):
        steps = x1 - x0, y1 - y0, z1 - z0
        if any(steps):
            x, y, z = ((step > 0) - (step < 0) for step in steps)
            return x, y, z
    return 0, 0, 0


def _flat_axis(shop: Shop, box: str) -> int:
    """The axis from the back of a box to its cover: out of its wall, or down from the ceiling."""
    place = shop.enclosures[box]
    if place.wall is None:
        return 2
    (x0, _), (x1, _) = shop.building.wall_ends(place.wall)
    return 0 if x0 == x1 else 1
