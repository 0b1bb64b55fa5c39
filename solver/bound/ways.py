"""Ways as the bound sees them: what a circuit along each costs at least, what it goes through.

Costs in the first objective, lengths in feet.
"""

from collections.abc import Sequence
from typing import NamedTuple

from solver.bound.parts import Part
from solver.circuit import Circuits
from solver.priced_ways import PricedWays


class Priced(NamedTuple):
    """One way as the bound sees it; what has to be there for it; boxes it passes. [ft]"""

    cost: int
    length_ft: float
    gates: frozenset[str]
    passes: tuple[str, ...]


def nodes_of(circuits: Circuits, part: Part) -> list[str]:
    """Boxes and junction boxes that circuits of a part may come to."""
    return sorted({*part.at, *circuits.junctions})


def ways_of(circuits: Circuits, priced: Sequence[PricedWays], start: str, end: str) -> list[Priced]:
    """What one circuit along each way costs at least; those that are not dearer, longer, or through
    more than another.
    """
    found: list[Priced] = []
    slack = circuits.slack_cft(start, end)
    for way in circuits.ways_between(start, end):
        costs = []
        for share, ways in enumerate(priced, 1):
            prices = ways.prices(way, slack)
            if prices is not None:
                costs.append(prices[circuits.copper_first] // share)
        if costs:
            gates = frozenset(way.raceways) | ({end, *way.via} & set(circuits.junctions))
            found.append(Priced(min(costs), way.length_cft / 100, gates, way.via))
    found.sort(key=lambda one: one[:2])
    kept: list[Priced] = []
    for one in found:
        if not any(
            other.gates <= one.gates
            and other.length_ft <= one.length_ft
            and set(other.passes) <= set(one.passes)
            for other in kept
        ):
            kept.append(one)
    return kept
