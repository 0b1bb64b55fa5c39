"""Items that are on no circuit alone, and are on one beside others: their boxes lead there."""

from collections.abc import Iterable
from itertools import combinations
from math import inf
from typing import Final

from solver.circuit import Circuits
from solver.points import Item
from solver.refusal import Refusal

ELSEWHERE: Final = ("no way", "voltage drop")  # refused by its runs: other boxes may lead better
MOST_BESIDE: Final = 8  # items by way of which it is nearest


def goes_beside_others(circuits: Circuits, number: int, alone: Refusal) -> bool:
    """Whether runs by way of one or two other items' boxes make a circuit after all: they branch
    there nearer to the panel, or only from there a way leads on.
    """
    if alone.final or alone.reason not in ELSEWHERE:
        return False
    here = {point.box for point in circuits.points.items[number].points if point.box}
    reach = {
        other: _reach_by_way_of(circuits, item, here)
        for other, item in enumerate(circuits.points.items)
        if other != number
    }
    near = sorted((n for n in reach if reach[n] < inf), key=lambda n: (reach[n], n))
    return any(
        circuits.likely(frozenset({number, *more}))
        for size in (1, 2)
        for more in combinations(near[:MOST_BESIDE], size)
    )


def _reach_by_way_of(circuits: Circuits, item: Item, boxes: Iterable[str]) -> float:
    """How far the farthest of some boxes is from a panel by way of an item's box. [0.01 ft]"""
    return min(
        (
            _apart(circuits, panel, point.box)
            + max(_apart(circuits, point.box, box) for box in boxes)
            for panel in circuits.panels
            for point in item.points
            if point.box
        ),
        default=inf,
    )


def _apart(circuits: Circuits, start: str, end: str) -> float:
    """Length of the shortest way between two enclosures; infinite where there is none."""
    ways = circuits.ways_between(start, end) if start != end else []
    return min((way.length_cft for way in ways), default=0 if start == end else inf)
