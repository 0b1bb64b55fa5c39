"""What switches ask of the runs of a part: `solver.switched` says how they are wired.

From switch to switch of a group lead runs of three wires, from the last one on runs of that group
alone lead to what it switches. So of every group some run leads from a box with one of its switches
to what it switches, to each of these boxes one from there or from another of them, and between the
boxes of its switches as many runs as it takes to join them, each dearer by its third wire.
"""

from collections.abc import Collection, Iterator, Mapping, Sequence
from itertools import permutations
from typing import Protocol

from solver.bound.parts import Part
from solver.catalogue import cable_ground
from solver.circuit import Circuits
from solver.switched import Row, rows_of


class _Run(Protocol):
    """A run of the relaxation, as far as it matters here."""

    @property
    def start(self) -> str: ...

    @property
    def end(self) -> str: ...

    @property
    def number(self) -> int: ...


def groups(part: Part) -> Iterator[tuple[int, Row]]:
    """Groups of switches with their items."""
    for item in part.items:
        yield from ((item, row) for row in rows_of(part.circuits.points.items[item].points))


def rows(
    part: Part, arcs: Sequence[_Run], staying: Collection[int]
) -> Iterator[tuple[Mapping[int, int], int, tuple[object, ...]]]:
    """Rows Σ a·x ≥ b with their names; `staying` are items that may be alone."""
    for item, row in groups(part):
        chain = frozenset(row.chain)
        fed = row.fed - chain
        named = "+".join(row.switches)
        if item in staying:
            continue
        if fed:
            first = {arc.number: 1 for arc in arcs if arc.start in chain and arc.end in fed}
            yield first, 1, ("switched", item, named)
        for box in sorted(fed):
            before = {a.number: 1 for a in arcs if a.end == box and a.start in chain | fed}
            yield before, 1, ("switched", item, named, box)
        if len(chain) > 1:
            between = {a.number: 1 for a in arcs if a.start in chain and a.end in chain}
            yield between, len(chain) - 1, ("travellers", item, named)


def third_wires(circuits: Circuits, part: Part, staying: Collection[int]) -> int:
    """What the third wire of all runs between switches costs at least."""
    total = 0
    for item, row in groups(part):
        boxes = sorted(set(row.chain))
        if item not in staying and len(boxes) > 1:
            more = [
                cost
                for awg in part.sizes
                for start, end in permutations(boxes, 2)
                for cost in _third_wire(circuits, awg, start, end)
            ]
            total += (len(boxes) - 1) * max(0, min(more, default=0))
    return total


def _third_wire(circuits: Circuits, awg: str, start: str, end: str) -> Iterator[int]:
    """What a third wire of a size costs by each way."""
    ground = {"cable": cable_ground(awg), "raceway": awg}
    two, three = (circuits.priced(awg, n, ground, circuits.everything) for n in (2, 3))
    slack = circuits.slack_cft(start, end)
    for way in circuits.ways_between(start, end):
        with_two, with_three = two.prices(way, slack), three.prices(way, slack)
        if with_two is not None and with_three is not None:
            which = circuits.copper_first
            yield with_three[which] - with_two[which]
