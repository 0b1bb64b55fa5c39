"""Cuts that a relaxed plan breaks: places that too few circuits come into.

Found by largest flows from the panels (OR-Tools). A place is a box as a conductor comes to it, by
size and by how much farther than need be. What a set of boxes asks for comes from a panel: into any
set of places that holds all places of these boxes come as many circuits as its items need.
"""

from collections.abc import Collection, Container, Iterator, Sequence
from itertools import combinations
from math import comb
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray
from ortools.graph.python.max_flow import SimpleMaxFlow  # type: ignore[import-untyped]

from solver.bound.parts import Part
from solver.bound.runs import Place, Runs

UNIT: Final = 10**6
LEAST: Final = 10**-3  # a cut that is broken by less is not added
NOTHING: Final = 10**-7
FEW: Final = 10  # cuts about sets that are asked about first; with no more, others are sought too
MOST_TOGETHER: Final = 3
MOST_ASKED: Final = 200  # sets of boxes with machines
PANEL: Final = 0  # all panels, as a number of a place
Side = frozenset[Place]
Numbers = NDArray[Any]


class Cuts:
    """Cuts of one shop; each is added once."""

    def __init__(self, runs: Runs) -> None:
        self.runs, self.added = runs, set[object]()
        self.first = [list(runs.asked_first(part)) for part in runs.parts]
        self.networks: list[Network] = []

    def add(self) -> int:
        """Add cuts that the values found last break; how many. Sets that are asked about first
        come before all others, unless hardly any of them is broken.
        """
        count = len(self.added)
        known = sum(len(network.numbers) for network in self.networks)
        if not self.networks or known < len(self.runs.arcs):
            self.networks = [
                Network(self.runs, n, part.sizes) for n, part in enumerate(self.runs.parts)
            ]
        values = np.array(self.runs.program.values)
        half_open = [(gate, values[n]) for gate, n in sorted(self.runs.gates.items())]
        half_open = [(gate, share) for gate, share in half_open if share < 1 - LEAST]
        for part, network in zip(self.runs.parts, self.networks, strict=True):
            network.fill(values)
            for some in self.first[network.number]:
                self._ask(network, part, some, values)
        if len(self.added) > count + FEW:
            return len(self.added) - count
        for part, network in zip(self.runs.parts, self.networks, strict=True):
            for boxes in _asking(part):
                least = part.needed(part.inside(frozenset(boxes)))
                for side in network.short(boxes, least):
                    self._enter(network, side)
                for gate, opened in half_open if len(boxes) == 1 else ():
                    for side in network.short(boxes, least * (1 - opened), gate):
                        self._enter(network, side, gate)
        for terms, least, key in list(self.runs.broken()):
            if key not in self.added:
                self.added.add(key)
                self.runs.program.add(terms, least, key)
        return len(self.added) - count

    def _ask(self, network: "Network", part: Part, boxes: frozenset[str], values: Numbers) -> None:
        """Cuts about a set of boxes, however conductors come to them."""
        side = frozenset(place for box in boxes for place in network.of.get(box, ()))
        coming, inside = network.coming_into(side, None), part.inside(boxes)
        if values[coming].sum() < part.needed(inside) - LEAST:
            self._enter(network, side)
        for awg, items in part.sized.items():
            sized = [item for item in inside if items >> item & 1]
            room = {n: part.room_for_sized(network.awg[n], awg) for n in coming}
            for item in sized:
                room |= self.runs.staying[network.number].get(item, {})
            key = "sized", network.number, side, awg
            short = sum(factor * values[n] for n, factor in room.items()) < len(sized) - LEAST
            if short and key not in self.added:
                self.added.add(key)
                self.runs.program.add(room, len(sized), key)

    def _enter(self, network: "Network", side: Side, gate: str | None = None) -> None:
        """At least as many circuits come into a set of places as what is in it needs; past a gate,
        unless it is bought.
        """
        key = network.number, side, gate
        if key in self.added:
            return
        self.added.add(key)
        part = self.runs.parts[network.number]
        inside = part.inside(network.whole(side))
        terms = dict.fromkeys(network.coming_into(side, gate), 1)
        for item in inside:
            terms |= self.runs.staying[network.number].get(item, {})
        least = part.needed(inside)
        if gate is not None:
            terms[self.runs.gates[gate]] = least
        self.runs.program.add(terms, least, ("enter", *key))


class Network:
    """How much can come to the boxes of a part from the panels, along conductors of some sizes."""

    def __init__(self, runs: Runs, number: int, sizes: Container[str]) -> None:
        self.number = number
        arcs = [arc for arc in runs.arcs if arc.part == number and arc.awg in sizes]
        self.places = sorted({arc.to for arc in arcs})
        self.index = {place: at for at, place in enumerate(self.places, PANEL + 1)}
        self.sink = len(self.places) + 1
        self.of: dict[str, list[Place]] = {}
        for place in self.places:
            self.of.setdefault(place.box, []).append(place)
        self.awg = {arc.number: arc.awg for arc in arcs}
        self.numbers = np.array([arc.number for arc in arcs], dtype=np.int64)
        self.starts = np.array([self.index.get(arc.come, PANEL) for arc in arcs], dtype=np.int64)
        self.ends = np.array([self.index[arc.to] for arc in arcs], dtype=np.int64)
        gates = sorted({gate for arc in arcs for gate in arc.gates})
        self._past = {gate: np.array([gate not in arc.gates for arc in arcs]) for gate in gates}
        self.most = np.zeros(len(arcs), dtype=np.int64)

    def fill(self, values: Numbers) -> None:
        """What flows where."""
        here = values[self.numbers]
        self.most = np.where(here > NOTHING, (UNIT * here).astype(np.int64), 0)

    def _open(self, gate: str | None) -> Numbers:
        """Arcs that do not go through a gate."""
        return self._past.get(gate or "", np.ones(len(self.numbers), dtype=bool))

    def whole(self, side: Side) -> frozenset[str]:
        """Boxes all of whose places are in a set."""
        boxes = {place.box for place in side}
        return frozenset(box for box in boxes if side.issuperset(self.of[box]))

    def coming_into(self, side: Side, gate: str | None = None) -> list[int]:
        """Variables of the arcs that come into a set of places, not through a gate."""
        within = np.zeros(self.sink + 1, dtype=bool)
        within[[self.index[place] for place in side]] = True
        chosen = within[self.ends] & ~within[self.starts] & self._open(gate)
        return [int(number) for number in self.numbers[chosen]]

    def short(self, boxes: Sequence[str], least: float, gate: str | None = None) -> list[Side]:
        """Sets around some boxes that less than the least comes into from the panels."""
        flow, sides = self.around(boxes, gate)
        return sides if flow < least - LEAST else []

    def around(self, boxes: Collection[str], gate: str | None = None) -> tuple[float, list[Side]]:
        """The most that can come from the panels to some boxes, and the sets around them that no
        more comes into; no set where nothing leads there.
        """
        flowing = (self.most > 0) & self._open(gate)
        sinks = np.array([self.index[place] for box in boxes for place in self.of.get(box, ())])
        if not len(sinks):
            return 0.0, []
        network = SimpleMaxFlow()
        network.add_arcs_with_capacity(
            np.concatenate((self.starts[flowing], sinks)),
            np.concatenate((self.ends[flowing], np.full(len(sinks), self.sink))),
            np.concatenate((self.most[flowing], np.full(len(sinks), 1000 * UNIT))),
        )
        network.solve(PANEL, self.sink)
        near = set(network.get_source_side_min_cut())
        far = set(network.get_sink_side_min_cut())
        sides = {
            frozenset(place for place in self.places if self.index[place] not in near),
            frozenset(place for place in self.places if self.index[place] in far),
        }
        return network.optimal_flow() / UNIT, sorted(sides, key=sorted)


def _asking(part: Part) -> Iterator[tuple[str, ...]]:
    """Boxes, and boxes of machines together."""
    yield from ((box,) for box in sorted(part.at))
    loaded = sorted({box for item in part.loaded for box in part.boxes[item]})
    for count in range(2, MOST_TOGETHER + 1):
        if comb(len(loaded), count) <= MOST_ASKED:
            sets = combinations(loaded, count)
            yield from (boxes for boxes in sets if _need_more(part, boxes))


def _need_more(part: Part, boxes: tuple[str, ...]) -> bool:
    """Whether boxes need more circuits than they do with one of them left out."""
    least = part.needed(part.inside(frozenset(boxes)))
    fewer = combinations(boxes, len(boxes) - 1)
    return all(part.needed(part.inside(frozenset(some))) < least for some in fewer)
