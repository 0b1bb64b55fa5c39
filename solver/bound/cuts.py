"""Cuts that a relaxed plan breaks: places that too few circuits come into.

Found by largest flows from the panels (OR-Tools). A place is a box as a conductor comes to it, by
size and by how much farther than need be. What a set of boxes asks for comes from a panel: into any
set of places that holds all places of these boxes come as many circuits as its items need.
"""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from itertools import combinations
from math import comb
from typing import Final

import numpy as np
from ortools.graph.python.max_flow import SimpleMaxFlow  # type: ignore[import-untyped]

from solver.bound.parts import Part
from solver.bound.runs import Arc, Place, Runs

UNIT: Final = 10**6
LEAST: Final = 10**-3  # a cut that is broken by less is not added
NOTHING: Final = 10**-7
MOST_TOGETHER: Final = 3
MOST_ASKED: Final = 200  # sets of boxes with machines
Side = frozenset[Place]


class Cuts:
    """Cuts of one shop; each is added once."""

    def __init__(self, runs: Runs) -> None:
        self.runs, self.added = runs, set[object]()
        self.arcs: dict[int, list[Arc]] = defaultdict(list)
        self.places: dict[int, list[Place]] = {}
        self.of: dict[int, dict[str, list[Place]]] = defaultdict(lambda: defaultdict(list))
        for arc in runs.arcs:
            self.arcs[arc.part].append(arc)
        for number, arcs in self.arcs.items():
            self.places[number] = sorted({arc.to for arc in arcs})
            for place in self.places[number]:
                self.of[number][place.box].append(place)

    def add(self) -> int:
        """Add cuts that the values found last break; how many."""
        count = len(self.added)
        for number, part in enumerate(self.runs.parts):
            flowing = [a for a in self.arcs[number] if self._value(a) > NOTHING]
            network = _Network(self, number)
            for together in self._asking(part):
                self._add_for(network, number, part, flowing, together)
        return len(self.added) - count

    def _value(self, arc: Arc) -> float:
        return self.runs.program.values[arc.number]

    def _add_for(
        self,
        network: "_Network",
        number: int,
        part: Part,
        flowing: list[Arc],
        together: tuple[str, ...],
    ) -> None:
        """Sets of places around some boxes that fewer circuits come into than these need."""
        least = part.needed(part.inside(frozenset(together)))
        flow, sides = network.flow(flowing, together)
        for side in sides if flow < least - LEAST else ():
            self._enter(number, part, side)
        for gate, opened in self._half_open if len(together) == 1 else ():
            past = [arc for arc in flowing if gate not in arc.gates]
            flow, sides = network.flow(past, together)
            for side in sides if flow < least * (1 - opened) - LEAST else ():
                self._enter(number, part, side, gate)

    @property
    def _half_open(self) -> list[tuple[str, float]]:
        """Raceways and junction boxes that are bought in part."""
        values = self.runs.program.values
        shares = ((gate, values[n]) for gate, n in sorted(self.runs.gates.items()))
        return [(gate, share) for gate, share in shares if share < 1 - LEAST]

    def _asking(self, part: Part) -> Iterator[tuple[str, ...]]:
        """Boxes, and boxes of machines together."""
        yield from ((box,) for box in sorted(part.at))
        loaded = sorted({box for item in part.loaded for box in part.boxes[item]})
        for count in range(2, MOST_TOGETHER + 1):
            if comb(len(loaded), count) <= MOST_ASKED:
                sets = combinations(loaded, count)
                yield from (boxes for boxes in sets if self._needs_more(part, boxes))

    def _needs_more(self, part: Part, boxes: tuple[str, ...]) -> bool:
        """Whether boxes need more circuits than they do with one of them left out."""
        least = part.needed(part.inside(frozenset(boxes)))
        fewer = combinations(boxes, len(boxes) - 1)
        return all(part.needed(part.inside(frozenset(some))) < least for some in fewer)

    def _enter(self, number: int, part: Part, side: Side, gate: str | None = None) -> None:
        """At least as many circuits come into a set of places as what is in it needs; past a gate,
        unless it is bought.
        """
        key = number, side, gate
        if key in self.added:
            return
        self.added.add(key)
        boxes = {place.box for place in side}
        whole = frozenset(box for box in boxes if side.issuperset(self.of[number][box]))
        inside = part.inside(whole)
        terms = {
            arc.number: 1
            for arc in self.arcs[number]
            if arc.to in side and arc.come not in side and gate not in arc.gates
        }
        for item in inside:
            terms |= self.runs.staying[number].get(item, {})
        if gate is not None:
            terms[self.runs.gates[gate]] = part.needed(inside)
        self.runs.program.add(terms, part.needed(inside), ("enter", *key))


class _Network:
    """How much can come to the boxes of a part from the panels."""

    def __init__(self, cuts: Cuts, number: int) -> None:
        self.cuts, self.places = cuts, cuts.places[number]
        self.of = cuts.of[number]
        self.index = {place: at for at, place in enumerate(self.places, 1)}
        self.sink = len(self.places) + 1

    def flow(self, flowing: Sequence[Arc], to: Sequence[str]) -> tuple[float, list[Side]]:
        """How much comes from the panels to some boxes, and the sets where it is least."""
        starts, ends, most = self._lists(flowing)
        sinks = [self.index[place] for box in to for place in self.of[box]]
        network = SimpleMaxFlow()
        network.add_arcs_with_capacity(
            np.array(starts + sinks),
            np.array(ends + [self.sink] * len(sinks)),
            np.array(most + [1000 * UNIT] * len(sinks)),
        )
        network.solve(0, self.sink)
        near = set(network.get_source_side_min_cut())
        far = set(network.get_sink_side_min_cut())
        sides = {
            frozenset(place for place in self.places if self.index[place] not in near),
            frozenset(place for place in self.places if self.index[place] in far),
        }
        return network.optimal_flow() / UNIT, sorted(sides, key=sorted)

    def _lists(self, flowing: Sequence[Arc]) -> tuple[list[int], list[int], list[int]]:
        """Starts, ends and capacities of what flows."""
        values = self.cuts.runs.program.values
        return (
            [self.index.get(arc.come, 0) for arc in flowing],
            [self.index[arc.to] for arc in flowing],
            [int(UNIT * values[arc.number]) for arc in flowing],
        )
