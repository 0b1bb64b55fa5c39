"""The way from each box of a circuit back to its panel, and what goes dead when it is cut there.

Read from the runs of the plan: a fault between a box and the next one towards the panel takes down
the box and all that lies beyond it. Boxes come in the order in which they are looked at: the far
ends first, each before the box that feeds it.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from models.plan import CircuitPlan, OutletPlan, Run
from models.rules.reading import Reading, is_shared


@dataclass(frozen=True)
class Stop:
    """A box on the way. `way`: boxes from it to the panel, itself first, the panel last.

    `run` feeds it, None where nobody knows the way; `dead` are the outlets that go dead with it,
    of both halves where a run carries a pair; `beside` are other circuits that are in the box.
    """

    box: str
    run: Run | None
    way: tuple[str, ...]
    dead: tuple[OutletPlan, ...]
    beside: tuple[str, ...]

    @property
    def feeder(self) -> str:
        """The next box, or the panel, on the way back; empty where it is not known."""
        return self.way[1] if len(self.way) > 1 else ""


def stops(reading: Reading, circuit: CircuitPlan) -> tuple[Stop, ...]:
    """Every box of a circuit, the far ends first."""
    order = list(_from_far(reading, circuit))
    strays = {one.box: None for one in reading.outlets_on(circuit) if one.box not in order}
    return tuple(_stop(reading, circuit, box) for box in (*order, *strays))


def _from_far(reading: Reading, circuit: CircuitPlan) -> Iterator[str]:
    """Boxes that the runs come to: all that one feeds before itself, the longest way first."""
    tree = reading.trees[circuit.id]
    deep: dict[str, int] = {}
    for end in tree.run_to:
        for box in tree.passed(end):
            deep[box] = max(deep.get(box, 0), len(tree.way(end)))
    seen: set[str] = set()

    def beyond(start: str) -> Iterator[str]:
        further = tree.runs_from.get(start, [])
        for run in sorted(further, key=lambda run: -deep.get(run.end, 0)):
            if run.end not in seen:
                seen.add(run.end)
                yield from beyond(run.end)
                yield run.end

    yield from beyond(circuit.panel)


def _stop(reading: Reading, circuit: CircuitPlan, box: str) -> Stop:
    tree = reading.trees[circuit.id]
    run = tree.run_to.get(box)
    way = (box, *(one.start for one in reversed(tree.way(box))))
    pair = reading.pair(circuit)
    inside = {wire.circuit for wire in reading.boxes[box].conductors}
    inside |= {yoke.circuit for yoke in reading.boxes[box].yokes if yoke.circuit}
    inside &= reading.circuits.keys()  # capped conductors of what may come are of none
    dead = [
        outlet
        for half in (pair if run and is_shared(run) else (circuit,))
        for outlet in reading.outlets_on(half)
        if outlet.box in (reading.trees[half.id].beyond(run) if run else (box,))
    ]
    return Stop(box, run, way, tuple(dead), tuple(sorted(inside - {half.id for half in pair})))
