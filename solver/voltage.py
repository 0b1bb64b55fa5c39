"""What the outlets of one circuit lose of its voltage, in the state that costs each of them most.

Currents as the machines draw them, added up along the runs; 12 A of a tool alone at the farthest
receptacle. Amperes, feet, volts; two wires of one size, out and back.
"""

from collections.abc import Collection, Iterator, Mapping, Sequence
from typing import Final

from models.formulas.voltage_drop import voltage_drop_v
from solver.load import Load, Loads
from solver.points import Points

ASSUMED_PLUG_LOAD_AMPS: Final = 12.0  # common practice, no source
LOW_VOLTS: Final = 120

Run = tuple[str, str, float]  # from, to, how long; it starts at the panel or where one has come to
Drawn = Mapping[str, tuple[str, float]]  # of each machine its box, and what it draws


def drawn_by(points: Points, load: Load) -> Drawn:
    """The machines of a load at their boxes."""
    return {name: (points.box_at(at), load.amps[name]) for name, at in load.placed.items()}


def plugged_in(load: Load) -> set[str]:
    """Boxes with a receptacle of 120 V."""
    low = load.volts == LOW_VOLTS
    return {point.box for point in load.outlets if low and point.receptacles and point.box}


def most_lost_v(
    loads: Loads,
    runs: Sequence[Run],
    drawn: Drawn,
    lit: Mapping[str, float],
    plugged: Collection[str],
    ohm_per_kft: float,
) -> float:
    """The most that any outlet loses, over all binding days and states. [V]

    `lit`: current of luminaires at their boxes; `plugged`: boxes with a receptacle for a tool.
    """
    far_ft = {start: 0.0 for start, _, _ in runs[:1]}
    for start, end, length in runs:
        far_ft[end] = far_ft[start] + length
    most = ASSUMED_PLUG_LOAD_AMPS * max((far_ft[box] for box in plugged), default=0.0)
    boxes = {*lit, *(box for box, _ in drawn.values())}
    together = []
    for box in boxes:
        shared_ft = _shared_ft(runs, box)
        along = {name: amps * shared_ft[at] for name, (at, amps) in drawn.items()}
        lights = sum(amps * shared_ft[at] for at, amps in lit.items())
        together.append((lights + sum(along.values()), lights, along))
    for at_once, lights, along in sorted(together, key=lambda one: -one[0]):
        if at_once <= most:
            break  # not even with everything on at once
        most = max(most, lights + loads.worst(along)[1].load)
    return voltage_drop_v(most, 1.0, ohm_per_kft)


def _shared_ft(runs: Sequence[Run], box: str) -> dict[str, float]:
    """How far the way to each end of a run is the way to a box too. [ft]"""
    on_the_way = set(_way_to(runs, box))
    shared = {runs[0][0]: 0.0}
    for start, end, length in runs:
        shared[end] = shared[start] + (length if end in on_the_way else 0.0)
    return shared


def _way_to(runs: Sequence[Run], box: str) -> Iterator[str]:
    """Ends of the runs that lead to a box."""
    come = {end: start for start, end, _ in runs}
    while box in come:
        yield box
        box = come[box]
