"""Cuts that a relaxed plan breaks by its groups of machines: places that they come into too seldom.

Into a set of places that holds every place where some machine may be, as conductors of one size
come to them, every circuit of that size with this machine in its group comes, once or as often as
the voltage asks (`solver.bound.dealt`). Sets are found by largest flows from the panels around the
places of machines, of one and one after another of those that add most.
"""

from collections.abc import Iterator
from functools import cache
from typing import Final

import numpy as np

from solver.bound.cuts import Network, Numbers, Side
from solver.bound.runs import Runs, Terms

LEAST: Final = 0.05  # a cut that is broken by less is not added
MOST_MACHINES: Final = 6  # that one set is sought around
Key = tuple[int, str, Side]


class GroupCuts:
    """Cuts of one shop; each is added once."""

    def __init__(self, runs: Runs) -> None:
        self.runs, self.added = runs, set[Key]()
        self.networks = [
            (awg, Network(runs, number, [awg]))
            for number in runs.dealt
            for awg in runs.parts[number].sizes
        ]

    def add(self) -> int:
        """Add cuts that the values found last break; how many."""
        before = len(self.added)
        values = np.array(self.runs.program.values)
        for awg, network in self.networks:
            network.fill(values)
            for side in self._broken(network, awg, values):
                key = network.number, awg, side
                if key not in self.added:
                    self.added.add(key)
                    runs = dict.fromkeys(network.coming_into(side), 1)
                    groups = {n: -times for n, times in self._entering(network, awg, side).items()}
                    self.runs.program.add(runs | groups, 0, ("groups enter", *key))
        return len(self.added) - before

    def _entering(self, network: Network, awg: str, side: Side) -> Terms:
        """How often circuits of groups come into a set at least, by their variables."""
        dealt, taken = self.runs.dealt[network.number]
        boxes, first = network.whole(side), dealt.first_ft({place.box for place in side})
        found = {
            n: dealt.entering(group, awg, boxes, first)
            for n, (group, size) in taken.items()
            if size == awg
        }
        return {n: times for n, times in found.items() if times}

    def _broken(self, network: Network, awg: str, values: Numbers) -> Iterator[Side]:
        """Sets that less comes into than their groups ask for."""
        dealt, taken = self.runs.dealt[network.number]
        some = [(group, values[n]) for n, (group, size) in taken.items() if size == awg]
        some = [(group, value) for group, value in some if value > LEAST]
        places: dict[str, frozenset[str]] = {}
        for group, _ in some:
            places |= {name: boxes for name, boxes in group.machines.items() if boxes}

        @cache
        def lacking(machines: frozenset[str]) -> tuple[float, list[Side]]:
            boxes = frozenset(box for machine in machines for box in places[machine])
            first = dealt.first_ft(boxes)
            asked = sum(value * dealt.entering(group, awg, boxes, first) for group, value in some)
            flow, sides = network.around(sorted(boxes))
            return asked - flow, sides

        for first in sorted(places):
            held = frozenset([first])
            while True:
                lack, sides = lacking(held)
                yield from sides if lack > LEAST else ()
                larger = [held | {more} for more in sorted(places) if more not in held]
                if not larger or len(held) == MOST_MACHINES:
                    break
                held = max(larger, key=lambda some: lacking(some)[0])
