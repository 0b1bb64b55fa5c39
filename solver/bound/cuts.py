"""Cuts that a relaxed plan breaks: sets of boxes that too few circuits enter.

Found by largest flows from the panels (OR-Tools): what a conductor brings to a box has to come from
a panel; so do the circuits that a box asks for; and a set of boxes whose machines need several
circuits is entered by as many.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from itertools import combinations
from math import comb
from typing import Final

from ortools.graph.python.max_flow import SimpleMaxFlow  # type: ignore[import-untyped]

from solver.bound.parts import Part
from solver.bound.runs import Arc, Runs

UNIT: Final = 10**6
LEAST: Final = 10**-3  # a cut that is broken by less is not added
NOTHING: Final = 10**-7
MOST_TOGETHER: Final = 3
MOST_ASKED: Final = 200  # sets of boxes with machines


class Cuts:
    """Cuts of one shop; each is added once."""

    def __init__(self, runs: Runs) -> None:
        self.runs, self.added = runs, set[object]()
        self.nodes = sorted(runs.boxes)
        self.index = {name: number for number, name in enumerate(self.nodes, 1)}
        self.sink = len(self.nodes) + 1
        self.arcs: dict[int, list[Arc]] = defaultdict(list)
        for arc in runs.arcs:
            self.arcs[arc.part].append(arc)

    def add(self) -> int:
        """Add cuts that the values found last break; how many."""
        count = len(self.added)
        for number, part in enumerate(self.runs.parts):
            flowing = [a for a in self.arcs[number] if self._value(a) > NOTHING]
            self._add_by_conductor(number, part, flowing)
            self._add_by_boxes(number, part, flowing)
        return len(self.added) - count

    def _value(self, arc: Arc) -> float:
        return self.runs.program.values[arc.number]

    def _add_by_conductor(self, number: int, part: Part, flowing: list[Arc]) -> None:
        """What a conductor brings to a box has come to it from a panel on that conductor."""
        for awg in part.sizes:
            mine = [arc for arc in flowing if arc.awg == awg]
            into: dict[str, float] = defaultdict(float)
            for arc in mine:
                into[arc.end] += self._value(arc)
            for box in sorted(into):
                if into[box] < LEAST:
                    continue
                flow, sides = self._flow(mine, [box])
                if flow >= into[box] - LEAST:
                    continue
                for side in sides:
                    key = awg, number, box, side
                    if key in self.added:
                        continue
                    self.added.add(key)
                    terms: dict[int, int] = defaultdict(int)
                    for arc in self.arcs[number]:
                        if arc.awg == awg:
                            terms[arc.number] += arc.end in side and arc.start not in side
                            terms[arc.number] -= arc.end == box
                    self.runs.program.add(terms, 0, ("brought", *key))

    def _add_by_boxes(self, number: int, part: Part, flowing: list[Arc]) -> None:
        """Sets of boxes that fewer circuits enter than what is in them needs."""
        for together in self._asking(part):
            least = part.needed(part.inside(frozenset(together)))
            flow, sides = self._flow(flowing, together)
            for side in sides if flow < least - LEAST else ():
                self._enter(number, part, side)
            for gate, opened in self._half_open if len(together) == 1 else ():
                past = [arc for arc in flowing if gate not in arc.gates]
                flow, sides = self._flow(past, together)
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
                yield from combinations(loaded, count)

    def _enter(
        self, number: int, part: Part, side: frozenset[str], gate: str | None = None
    ) -> None:
        """At least as many circuits come into a set of boxes as what is in it needs; past a gate,
        unless it is bought.
        """
        key = number, side, gate
        if key in self.added:
            return
        self.added.add(key)
        inside = part.inside(side)
        terms = {
            arc.number: 1
            for arc in self.arcs[number]
            if arc.end in side and arc.start not in side and gate not in arc.gates
        }
        for item in inside:
            terms |= self.runs.staying[number].get(item, {})
        if gate is not None:
            terms[self.runs.gates[gate]] = part.needed(inside)
        self.runs.program.add(terms, part.needed(inside), ("enter", *key))

    def _flow(
        self, flowing: Iterable[Arc], to: Iterable[str]
    ) -> tuple[float, list[frozenset[str]]]:
        """How much comes from the panels to some boxes, and the sets where it is least."""
        network = SimpleMaxFlow()
        for arc in flowing:
            start = self.index.get(arc.start, 0)
            network.add_arc_with_capacity(start, self.index[arc.end], int(UNIT * self._value(arc)))
        for box in to:
            network.add_arc_with_capacity(self.index[box], self.sink, 1000 * UNIT)
        network.solve(0, self.sink)
        near = set(network.get_source_side_min_cut())
        far = set(network.get_sink_side_min_cut())
        sides = {
            frozenset(name for name in self.nodes if self.index[name] not in near),
            frozenset(name for name in self.nodes if self.index[name] in far),
        }
        return network.optimal_flow() / UNIT, sorted(sides, key=sorted)
